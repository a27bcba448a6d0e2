/**
 * Dots that hold still while nothing new happens: each answer moves them only part of the way from the last one, the
 * less the further ahead they lie, as the foretold end itself does. Two that differ by a supposition move alike, so that
 * leaving something off never costs a chance. Minutes ahead.
 */

const MINUTE_MS = 60_000;
const SHARE_OF_LEFT = 0.15;
const LONGEST_MIN = 45;
/** Nearer than this every minute counts. */
const NEAR_MIN = 45;
/** An answer so old is no guide. */
const STALE_MIN = 60;
/** Further ahead there is no end to be told. */
const ENDLESS_MIN = 14 * 1440;
/** Questions remembered: other floors, other pages. */
const KEPT = 8;

export interface SteadyDots {
  /**
   * @param key what the answer depends on besides the readings: another one starts anew
   * @param raw as they were found, rising
   * @returns as they are told
   */
  of(at: number, key: string, raw: readonly number[]): number[];
}

export function createSteadyDots(): SteadyDots {
  const last = new Map<string, { at: number; dots: number[] }>();
  return {
    of(at, key, raw) {
      const before = last.get(key);
      const follows =
        before !== undefined &&
        before.dots.length === raw.length &&
        at >= before.at &&
        at - before.at < STALE_MIN * MINUTE_MS;
      const gone = follows ? (at - before.at) / MINUTE_MS : 0;
      const dots = follows ? raw.map((now, i) => steady(now, before.dots[i]! - gone, gone)) : [...raw];
      last.delete(key);
      last.set(key, { at, dots });
      if (last.size > KEPT) last.delete(last.keys().next().value!);
      // Kept as it is on its way, told as never while it is that far.
      return dots.map(minutes => (minutes > ENDLESS_MIN ? Number.POSITIVE_INFINITY : minutes));
    },
  };
}

/** Between one over the times, so that "never" has a place too. */
function steady(now: number, carried: number, gone: number): number {
  if (carried <= 0) return now;
  const nearer = Math.min(now, carried);
  const paceMin = Math.min(LONGEST_MIN, SHARE_OF_LEFT * (nearer - NEAR_MIN));
  // Both without an end, or so near that nothing is held back.
  if (!(paceMin > 0) || now === carried) return now;
  const kept = Math.exp(-gone / paceMin);
  return 1 / (1 / now + (1 / carried - 1 / now) * kept);
}

/**
 * How dots of a supposition are told where those without it are told otherwise than they were found.
 *
 * @param raw without any supposition, as found
 * @param told the same, as told
 */
export const toldAlike =
  (raw: readonly number[], told: readonly number[]) =>
  (found: readonly number[]): number[] =>
    found.map((minutes, i) => {
      const ratio = told[i]! / raw[i]!;
      if (raw[i] === told[i]) return minutes;
      // Where one of the two has no end: never earlier than it is told without the supposition.
      return Number.isFinite(ratio) && ratio > 0
        ? minutes * ratio
        : minutes >= raw[i]!
          ? Math.max(minutes, told[i]!)
          : minutes;
    });
