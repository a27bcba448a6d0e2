/**
 * How much of a clear sky's energy the sky let through in each minute of a day, 0 to about 1.2: seen in minutes that were
 * open to it, carried over those in which shade, a full battery or a port hid it.
 */
import { type DayMinutes, type DaySums, FREE } from './day-minutes.ts';

/** Open minutes on one side that speak for the sky beside them. */
const NEAR_MIN = 30;
/** Their word fades by a factor e in this time. */
const FADES_MIN = 120;
/** What the whole day or the weeks around weigh beside a neighbour. */
const USUAL_WEIGHT = 0.15;
/** Through a deeper shade than this nobody sees the sky. */
const SEEN_THROUGH = 0.6;
/** Less light than this share of the day's best says little of the sky. */
const DIM_SHARE = 0.08;

/** @returns NaN never; in the dark 0 */
export function skyBetween(day: DayMinutes, sums: DaySums): Float64Array {
  const { clearW, sunW, held, through, away, lightShare, passed } = day;
  const count = clearW.length;
  const sky = new Float64Array(count);
  const seen = new Uint8Array(count);
  const bestW = clearW.reduce((a, b) => Math.max(a, b), 0);
  let [came, clear] = [0, 0];
  for (let m = 0; m < passed; m++) {
    if (clearW[m]! <= 0 || Number.isNaN(sunW[m]!)) continue;
    const measured = lightShare === null ? Number.NaN : lightShare[m]!;
    if (!Number.isNaN(measured)) {
      sky[m] = measured;
      seen[m] = 1;
      continue;
    }
    const lets = through === null ? 1 : through[m]!;
    if (held[m] !== FREE || away[m] === 1 || lets < SEEN_THROUGH) continue;
    const openW = clearW[m]! * sums.level * lets;
    sky[m] = sunW[m]! / openW;
    if (clearW[m]! < DIM_SHARE * bestW) continue;
    seen[m] = 1;
    came += sunW[m]!;
    clear += openW;
  }
  // An hour of full light is a day's own word.
  const ofDay = clear > 0 ? came / clear : 0;
  const trust = Math.min(1, clear / (60 * Math.max(1, bestW * sums.level)));
  const usual = trust * ofDay + (1 - trust) * sums.usualSky;
  carry(sky, seen, usual, passed);
  return sky;
}

/** Fills the minutes that nobody saw from their neighbours. */
function carry(sky: Float64Array, seen: Uint8Array, usual: number, passed: number): void {
  for (let from = 0; from < passed; from++) {
    if (seen[from] === 1) continue;
    let to = from;
    while (to < passed && seen[to] === 0) to++;
    const before = meanOf(sky, seen, from - 1, -1);
    const after = meanOf(sky, seen, to, 1);
    for (let m = from; m < to; m++) {
      const [near, far] = [Math.exp(-(m - from) / FADES_MIN), Math.exp(-(to - m) / FADES_MIN)];
      const [a, b] = [before === null ? 0 : near, after === null ? 0 : far];
      sky[m] = (a * (before ?? 0) + b * (after ?? 0) + USUAL_WEIGHT * usual) / (a + b + USUAL_WEIGHT);
    }
    from = to;
  }
}

/** Mean of up to NEAR_MIN seen minutes in one direction; null where there is none. */
function meanOf(sky: Float64Array, seen: Uint8Array, from: number, step: number): number | null {
  let [sum, count] = [0, 0];
  for (let m = from; count < NEAR_MIN && m >= 0 && m < sky.length && Math.abs(m - from) < 3 * NEAR_MIN; m += step) {
    if (seen[m] !== 1) continue;
    sum += sky[m]!;
    count++;
  }
  return count === 0 ? null : sum / count;
}
