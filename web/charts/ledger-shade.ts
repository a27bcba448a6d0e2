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

/** The half with the fewest clouds: there a dip is not one of the sky. */
function clearest(days: readonly ListedDay[]): ListedDay[] {
  const cloud = ({ day, clearSkyWh }: ListedDay) => (day?.whereItWent?.cloudWh ?? 0) / (clearSkyWh ?? 1);
  return days.toSorted((a, b) => cloud(a) - cloud(b)).slice(0, Math.ceil(days.length / 2));
}

function dipOf(days: readonly ListedDay[], stepMin: number): number | null {
  const mean = Array.from({ length: Math.floor(1440 / stepMin) }, (_, slot) => {
    const watts = days.flatMap(({ row }) => row?.[slot] ?? []);
    return watts.length < days.length / 2 ? 0 : watts.reduce((a, b) => a + b, 0) / watts.length;
  });
  let [deepest, at, before]: [number, number | null, number] = [DIP, null, 0];
  for (let slot = 1; slot < mean.length - 1; slot++) {
    before = Math.max(before, mean[slot - 1]!);
    // What follows shortly: the evening's last light is never more than the afternoon's.
    const after = Math.max(...mean.slice(slot + 1, slot + 1 + Math.ceil(180 / stepMin)));
    const share = mean[slot]! / Math.min(before, after);
    if (Math.min(before, after) > 0.05 * Math.max(...mean) && share < deepest) [deepest, at] = [share, slot];
  }
  return at === null ? null : (at + 0.5) * stepMin;
}
