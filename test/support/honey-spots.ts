/** The three spots of the honey yard after a fortnight, as the agent would tell them in the afternoon. */
import type { AimAnswer, WireSpot } from '#messages';
import { sunTrack } from '../../agent/energy/estimates/skyline/clock-strip.ts';
import { yardAnswer, yardSpot } from './honey-yard.ts';
import { pointed } from './pointed.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const PLACE = { latitudeDeg: 45.5, longitudeDeg: 9, altitudeM: 100, turbidity: 3 };

type Kind = 'sun' | 'shade' | 'unknown';

/** A day's spans from the hours, UTC, at which each begins; the last one ends at sunset. */
function stripOf(track: NonNullable<AimAnswer['track']>, spans: readonly (readonly [hour: number, is: Kind])[]) {
  const day = Math.floor(Date.parse(track[0]!.at) / (24 * HOUR_MS)) * 24 * HOUR_MS;
  const begins = spans.map(([hour], i) => (i === 0 ? Date.parse(track[0]!.at) : day + hour * HOUR_MS));
  return spans.map(([, is], i) => ({
    fromAt: new Date(begins[i]!).toISOString(),
    toAt: new Date(begins[i + 1] ?? Date.parse(track.at(-1)!.at)).toISOString(),
    is,
  }));
}

/** Degrees around a wall in the south-west, a hedge in the east. */
const wall = (): NonNullable<WireSpot['skyline']> =>
  Array.from({ length: 32 }, (_, i) => {
    const azimuthDeg = 102.5 + 5 * i;
    const part = { azimuthDeg, edgeDeg: null, sunFromDeg: 20, shadeToDeg: null, minutes: 120 + ((i * 37) % 90) };
    if (azimuthDeg < 115) return { ...part, edgeDeg: 8, sunFromDeg: 9, shadeToDeg: 7 };
    if (azimuthDeg > 210 && azimuthDeg < 235)
      return { ...part, edgeDeg: 22 + (azimuthDeg - 210) / 5, sunFromDeg: 25 + (azimuthDeg - 210) / 5, shadeToDeg: 21 };
    if (azimuthDeg >= 235) return { ...part, sunFromDeg: null, shadeToDeg: 18 - (azimuthDeg - 235) / 5 };
    return part;
  });

export function trackOn(atMs: number, zoneOffsetH = 1): NonNullable<AimAnswer['track']> {
  const startMs = Math.floor((atMs + zoneOffsetH * HOUR_MS) / (24 * HOUR_MS)) * 24 * HOUR_MS - zoneOffsetH * HOUR_MS;
  return sunTrack(PLACE, { startMs, endMs: startMs + 24 * HOUR_MS }, 10 * MINUTE_MS).map(
    ({ atMs: at, azimuthDeg, elevationDeg }) => ({
      at: new Date(Math.round(at)).toISOString(),
      azimuthDeg,
      elevationDeg,
    }),
  );
}

/** @param nowMs an afternoon instant */
export function learnedYard(nowMs: number, change: Partial<AimAnswer> = {}): AimAnswer {
  const track = trackOn(nowMs);
  const day = Math.floor(nowMs / (24 * HOUR_MS)) * 24 * HOUR_MS;
  const at = (hour: number) => new Date(day + hour * HOUR_MS).toISOString();
  return yardAnswer({
    pointing: pointed(),
    track,
    spots: [
      yardSpot({
        sinceAt: at(7.5),
        clearDays: 7,
        evidenceMin: 4180,
        strip: stripOf(track, [
          [0, 'unknown'],
          [7.2, 'sun'],
          [13.83, 'shade'],
          [15.2, 'unknown'],
        ]),
        next: { at: at(13.83), is: 'shade', giveOrTakeMin: 8 },
        skyline: wall(),
        note: 'mind the bees',
      }),
      yardSpot({
        id: 'fence',
        name: 'fence',
        tiltDeg: null,
        azimuthDeg: null,
        standing: false,
        sinceAt: at(-40),
        clearDays: 5,
        evidenceMin: 2210,
        strip: stripOf(track, [
          [0, 'unknown'],
          [7.5, 'shade'],
          [10.6, 'sun'],
          [15.1, 'unknown'],
        ]),
        skyline: wall(),
      }),
      yardSpot({ id: 'hive-stand', name: 'hive stand', standing: false, sinceAt: null, clearDays: 1, evidenceMin: 90 }),
    ],
    plan: {
      steps: [
        { spot: 'step', name: 'step', fromAt: new Date(nowMs).toISOString() },
        { spot: 'fence', name: 'fence', fromAt: at(13.5) },
      ],
      gainWh: 212,
      against: 'step',
    },
    ...change,
  });
}
