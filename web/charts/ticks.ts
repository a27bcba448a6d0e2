/** Hours on the time axis: whole civil hours of the station's zone, so that a day of 23 or 25 hours stays right. */
import { zoneOffsetMs } from '#energy/civil-day';

const HOUR_MS = 3_600_000;

/** Hours between ticks so that a label has room. */
export const tickStepHours = (spanMs: number, widthPx: number, leastPx: number): number =>
  [1, 2, 3, 4, 6, 12, 24].find(h => (widthPx * h * HOUR_MS) / spanMs >= leastPx) ?? 24;

/** Instants in [fromMs, toMs] whose civil hour in `zone` is a multiple of `stepHours`. */
export function hourTicks(fromMs: number, toMs: number, zone: string, stepHours: number): number[] {
  const ticks: number[] = [];
  // Zones with a quarter-hour offset: walk quarter hours, keep the whole civil ones.
  const quarter = HOUR_MS / 4;
  for (let t = Math.ceil(fromMs / quarter) * quarter; t <= toMs; t += quarter) {
    const local = t + zoneOffsetMs(t, zone);
    if (local % HOUR_MS === 0 && new Date(local).getUTCHours() % stepHours === 0) ticks.push(t);
  }
  return ticks;
}
