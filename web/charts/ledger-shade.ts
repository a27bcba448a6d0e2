/**
 * Where the record shows the shade that the agent's account of the days holds: which days, and at which hour their power
 * dips between two higher ones. Without shade in the account nothing is looked for. Pure.
 */
import type { ListedDay } from '../views/ledger/figures.ts';

export interface ShadeSeen {
  /** Place of the middle of these days in the list. */
  middle: number;
  days: number;
  /** Mean of what shade took of each of them, Wh. */
  meanWh: number;
  /** Minutes since midnight in the middle of the dip; null where none shows. */
  atMin: number | null;
}

/** Less than this share of the clear sky is not worth a note. */
const LEAST_SHARE = 0.01;
const LEAST_DAYS = 3;
/** A dip is a place with less than this share of what came before and after it. */
const DIP = 0.7;
const SOON_MIN = 180;

export function shadeSeen(days: readonly ListedDay[], stepMin: number): ShadeSeen | null {
  const shaded = days.flatMap((listed, i) => {
    const wh = listed.day?.whereItWent?.shadeWh ?? 0;
    return wh > LEAST_SHARE * (listed.clearSkyWh ?? Number.POSITIVE_INFINITY) ? { i, wh, listed } : [];
  });
  if (shaded.length < LEAST_DAYS) return null;
  return {
    middle: shaded[Math.floor(shaded.length / 2)]!.i,
    days: shaded.length,
    meanWh: shaded.reduce((sum, { wh }) => sum + wh, 0) / shaded.length,
    atMin: dipOf(clearest(shaded.map(s => s.listed)), stepMin),
  };
}

/** Enough to tell a dip by, and soon looked through. */
const MOST_DAYS = 40;

/** Those with the fewest clouds, half of them at most: there a dip is not one of the sky. */
function clearest(days: readonly ListedDay[]): ListedDay[] {
  const cloud = ({ day, clearSkyWh }: ListedDay) => (day?.whereItWent?.cloudWh ?? 0) / (clearSkyWh ?? 1);
  return days.toSorted((a, b) => cloud(a) - cloud(b)).slice(0, Math.min(MOST_DAYS, Math.ceil(days.length / 2)));
}

/** Mean watts by time of day; 0 where fewer than half of the days know it. */
function meanCourse(days: readonly ListedDay[], slots: number): Float64Array {
  const [sums, counts] = [new Float64Array(slots), new Uint16Array(slots)];
  for (const { row } of days) {
    if (row === null) continue;
    for (let slot = 0; slot < slots; slot++) {
      const watts = row[slot];
      if (watts === null || watts === undefined) continue;
      sums[slot]! += watts;
      counts[slot]!++;
    }
  }
  return sums.map((sum, slot) => (counts[slot]! < days.length / 2 ? 0 : sum / counts[slot]!));
}

function dipOf(days: readonly ListedDay[], stepMin: number): number | null {
  const mean = meanCourse(days, Math.floor(1440 / stepMin));
  const least = 0.05 * Math.max(...mean);
  // What follows shortly: the evening's last light is never more than the afternoon's.
  const soon = Math.ceil(SOON_MIN / stepMin);
  let [deepest, at, before]: [number, number | null, number] = [DIP, null, 0];
  for (let slot = 1; slot < mean.length - 1; slot++) {
    before = Math.max(before, mean[slot - 1]!);
    const beside = Math.min(before, Math.max(...mean.subarray(slot + 1, slot + 1 + soon)));
    if (beside > least && mean[slot]! / beside < deepest) [deepest, at] = [mean[slot]! / beside, slot];
  }
  return at === null ? null : (at + 0.5) * stepMin;
}
