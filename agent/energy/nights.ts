/**
 * Night within a stretch of time, from the sun's own times at a place: refraction and the sun's disc included. Without a
 * place there is no night to tell. Instants UTC epoch ms.
 */
import { sunEvents } from './laws/sun-events.ts';

export interface Night {
  fromMs: number;
  toMs: number;
  /** Where the night begins or ends within the span; null where it reaches beyond. */
  sunsetAt: number | null;
  sunriseAt: number | null;
}

export function nightsIn(
  fromMs: number,
  toMs: number,
  place: { latitudeDeg: number; longitudeDeg: number } | null,
): Night[] {
  if (place === null) return [];
  const { events, polar } = sunEvents(fromMs, toMs, place.latitudeDeg, place.longitudeDeg);
  if (polar !== null) return polar === 'down' ? [{ fromMs, toMs, sunsetAt: null, sunriseAt: null }] : [];
  const nights: Night[] = [];
  let sunsetAt: number | null = null;
  let startMs: number | null = events[0]?.kind === 'sunrise' ? fromMs : null;
  for (const event of events) {
    if (event.kind === 'sunset') {
      startMs = sunsetAt = event.at;
    } else if (startMs !== null) {
      nights.push({ fromMs: startMs, toMs: event.at, sunsetAt, sunriseAt: event.at });
      startMs = sunsetAt = null;
    }
  }
  if (startMs !== null) nights.push({ fromMs: startMs, toMs, sunsetAt, sunriseAt: null });
  return nights;
}
