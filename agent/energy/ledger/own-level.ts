/**
 * What a station's panels give for each watt that the clear-sky model promises, found from its clear hours: shade,
 * clouds and limits only ever take away, so the level that quarter-hours of a day share, with next to none above it, is
 * the clear sky's. Days agree on a level within the haze of one from the next; a day without clear hours takes that of
 * the days around. Widths and counts are our own judgement, tried on simulated months.
 */

/** Quarter-hours of one level lie within this share of each other; those above by more speak against it. */
const BAND = 0.08;
/** An hour and a half of a level, an hour of it on end. */
const SLOTS_AT_LEAST = 6;
const ON_END = 4;
/** Less light than this share of the day's best says little. */
const DIM_SHARE = 0.25;
/** Levels of days agree within this share. */
const DAYS_AGREE = 0.12;
/** Outside of it something else was measured. */
const PLAUSIBLE = { least: 0.4, most: 1.4 };
/** Days to either side that speak for one. */
export const AROUND_DAYS = 30;
/** What comes of a clear sky's energy where nothing is known of the weather (common practice, no source). */
const USUAL_SKY = 0.65;

/** A quarter-hour in the sun. */
export interface Slot {
  /** Mean watts that came, and under a clear sky. */
  readonly cameW: number;
  readonly clearW: number;
  /** Recorded all through, nothing holding the panels back. */
  readonly open: boolean;
}

export interface DayLevel {
  /** null where the day had no clear hours. */
  readonly level: number | null;
  /** Of its open quarter-hours, watt-slots. */
  readonly cameW: number;
  readonly clearW: number;
}

/** @param slots of one day in order of time */
export function dayLevel(slots: readonly Slot[]): DayLevel {
  const bestW = slots.reduce((best, slot) => Math.max(best, slot.clearW), 0);
  const told = slots.map(slot =>
    slot.open && slot.clearW >= DIM_SHARE * bestW ? slot.cameW / slot.clearW : Number.NaN,
  );
  let [cameW, clearW] = [0, 0];
  for (const [i, slot] of slots.entries()) {
    if (Number.isNaN(told[i]!)) continue;
    cameW += slot.cameW;
    clearW += slot.clearW;
  }
  return { level: shared(told), cameW, clearW };
}

/** The level that most ratios share, with few above it. @param ratios NaN where none is told */
function shared(ratios: readonly number[]): number | null {
  const sorted = Float64Array.from(ratios.filter(ratio => !Number.isNaN(ratio))).sort();
  let best: { from: number; to: number; score: number } | null = null;
  for (let from = 0, to = 0; from < sorted.length; from++) {
    const top = sorted[from]! * (1 + BAND);
    while (to < sorted.length && sorted[to]! <= top) to++;
    const score = to - from - 2 * (sorted.length - to);
    if (to - from >= SLOTS_AT_LEAST && score > (best?.score ?? 0)) best = { from, to, score };
  }
  if (best === null) return null;
  const [low, high, level] = [sorted[best.from]!, sorted[best.to - 1]!, sorted[(best.from + best.to) >> 1]!];
  const isPlausible = level >= PLAUSIBLE.least && level <= PLAUSIBLE.most;
  return isPlausible && longest(ratios, low, high) >= ON_END ? level : null;
}

/** Most ratios on end that lie between two. */
function longest(ratios: readonly number[], low: number, high: number): number {
  let [most, count] = [0, 0];
  for (const ratio of ratios) {
    count = ratio >= low && ratio <= high ? count + 1 : 0;
    most = Math.max(most, count);
  }
  return most;
}

export interface Level {
  readonly level: number;
  /** Share of a clear sky's energy that came in the days around. */
  readonly usualSky: number;
  /** Days with clear hours behind it; 0: the model is taken as it is. */
  readonly days: number;
  /** The day had clear hours itself. */
  readonly isOwn: boolean;
}

/**
 * The level that holds for a day.
 *
 * @param own of the day itself
 * @param around of the days around with the same panels, itself among them
 */
export function levelOf(own: DayLevel, around: readonly DayLevel[]): Level {
  const levels = around.flatMap(({ level }) => level ?? []).sort((a, b) => a - b);
  const agreed = cluster(levels);
  const middle = agreed[agreed.length >> 1];
  const isNear = own.level !== null && (middle === undefined || Math.abs(own.level / middle - 1) <= DAYS_AGREE);
  const level = isNear ? own.level! : (middle ?? 1);
  const [cameW, clearW] = around.reduce(([came, clear], day) => [came + day.cameW, clear + day.clearW], [0, 0]);
  return { level, usualSky: clearW > 0 ? cameW / (clearW * level) : USUAL_SKY, days: agreed.length, isOwn: isNear };
}

/** Most levels that lie within `DAYS_AGREE` of their least, those above speaking against it. */
function cluster(sorted: readonly number[]): readonly number[] {
  let best: readonly number[] = [];
  let most = Number.NEGATIVE_INFINITY;
  for (let from = 0; from < sorted.length; from++) {
    const within = sorted.slice(from).filter(level => level <= sorted[from]! * (1 + DAYS_AGREE));
    const score = within.length - 2 * (sorted.length - from - within.length);
    if (score > most) [best, most] = [within, score];
  }
  return best;
}
