/**
 * Solar input over a day: what a panel set brought in, and what share of what a cloudless sky would have given. It begins
 * with the first light on the panels and ends when the day's last is gone. Hours in which a full battery or the port took
 * less than there was are left out of the share. Limits without a source are own judgement.
 */
import type { Spoiled, TrialAsked, TrialCurve, TrialJudgement, TrialResult, Waits } from './asked.ts';
import { bandOfWatts, hourCurve } from './curves.ts';
import { clearTerms, clearWatts } from './expected-day.ts';
import { figureOf } from './figure.ts';
import { countedWh, ownGain } from './own-watts.ts';
import { HOUR_MS, indexAt, isTold, MINUTE_MS, pctAt, pctToldAt, valuesOf } from './samples.ts';
import { stood, waiting } from './stage.ts';
import { fromScatter, scaled } from './terms.ts';
import { gapsSeen, INPUT_W, type Stretch, spoiled, stretchesWhere } from './watch.ts';

/** Of the panels' rating: light enough to count. */
const LIGHT_SHARE = 0.004;
const LIGHT_W = 1;
/** Before the sun is round to the panels it may be dark on them for so long after the first light. */
const BEFORE_MS = 4 * HOUR_MS;
/** The day's last light is gone: longest night between two lights. */
const DARK_MS = 2 * HOUR_MS;
/** A station that takes less than this of what is expected, while full, is held back. */
const HELD_SHARE = 0.7;
const FULL_MARGIN_PCT = 1;
/** Held back or silent for more than this share of the day's expected energy: nothing can be said of the day. */
const LOST_SHARE = 0.2;
/** A gap's share of the day's expected energy that ends it. */
const CLOUDY_SHARE = 0.6;

type Asked = TrialAsked<'solar'>;

/** What the sun brings in; all input where that is not told apart. */
export const solarColumn = ({ samples: s }: TrialAsked): Float64Array => (isTold(s.solarW) ? s.solarW : s.inputW);

const ratedOf = ({ options }: Asked): number => options.panels.reduce((sum, p) => sum + p.ratedW, 0);

function beginning(asked: Asked): number | Waits {
  const { samples: s, startedAt, nowAt } = asked;
  const first = indexAt(s.at, startedAt);
  if (first >= s.at.length) return nowAt - startedAt > HOUR_MS && s.at.length === 0 ? 'readings' : 'sun';
  const sun = solarColumn(asked);
  const least = Math.max(LIGHT_W, LIGHT_SHARE * ratedOf(asked));
  const found = stretchesWhere(s.at, first, s.at.length - 1, k => sun[k]! > least, 2 * MINUTE_MS, 10 * MINUTE_MS)[0];
  return found === undefined ? 'sun' : found.from;
}

interface SunRun extends Stretch {
  readonly over: boolean;
  /** The day's light ends, or the owner ended it. */
  readonly endAt: number;
}

/** The last sample of the day's light; whether the day is over. */
function ending(asked: Asked, from: number, clear: ((at: number) => number) | null): SunRun {
  const { samples: s, nowAt, endedAt } = asked;
  const least = LIGHT_SHARE * ratedOf(asked);
  const last = s.at.length - 1;
  const until = endedAt ?? nowAt;
  if (clear === null) {
    const sun = solarColumn(asked);
    let end = from;
    for (let k = from; k <= last; k++) {
      if (sun[k]! > INPUT_W) end = k;
      else if (s.at[k]! - s.at[end]! > DARK_MS) return { from, to: end, over: true, endAt: s.at[end]! };
    }
    return { from, to: last, over: false, endAt: s.at[last]! };
  }
  // By the sky itself: clouds in the evening are no night.
  const beginAt = s.at[from]!;
  let darkAt = beginAt;
  while (darkAt < beginAt + BEFORE_MS && clear(darkAt) <= least / 2) darkAt += 5 * MINUTE_MS;
  while (darkAt < beginAt + 24 * HOUR_MS && clear(darkAt) > least / 2) darkAt += 5 * MINUTE_MS;
  const to = Math.max(from, indexAt(s.at, Math.min(darkAt, until) + 1) - 1);
  return { from, to, over: until >= darkAt, endAt: Math.min(until, darkAt) };
}

/** Energies of the day, sample by sample: what came in, what was expected, and how much of that was held back. */
interface Day {
  readonly inWh: number;
  readonly clearWh: number;
  /** Expected over times that were not held back, and what came in then. */
  readonly freeClearWh: number;
  readonly freeInWh: number;
  readonly gapClearWh: number;
  readonly brightestAt: number;
  readonly full: readonly Stretch[];
  readonly limited: readonly Stretch[];
}

function dayOf(asked: Asked, { from, to, endAt }: SunRun, clear: (at: number) => number): Day {
  const { samples: s, options, gapLimitMs } = asked;
  const sun = solarColumn(asked);
  const isFull = (k: number) =>
    pctAt(s, k) >= options.fullPct - FULL_MARGIN_PCT && sun[k]! < HELD_SHARE * clear(s.at[k]!);
  const { portMaxW } = options;
  const isLimited = (k: number) => portMaxW !== null && sun[k]! > 0.97 * portMaxW;
  const full = stretchesWhere(s.at, from, to, isFull, 5 * MINUTE_MS, 10 * MINUTE_MS);
  const limited = stretchesWhere(s.at, from, to, isLimited, 5 * MINUTE_MS, 5 * MINUTE_MS);
  const held = new Uint8Array(s.at.length);
  for (const of of [...full, ...limited]) held.fill(1, of.from, of.to + 1);
  const sums = { inWh: 0, clearWh: 0, freeClearWh: 0, freeInWh: 0, gapClearWh: 0, brightestAt: s.at[from]! };
  let most = 0;
  for (let k = from; k < to; k++) {
    const hours = (s.at[k + 1]! - s.at[k]!) / HOUR_MS;
    const expectedW = (clear(s.at[k]!) + clear(s.at[k + 1]!)) / 2;
    if (expectedW > most) {
      most = expectedW;
      sums.brightestAt = s.at[k]!;
    }
    sums.clearWh += expectedW * hours;
    const inW = ((sun[k]! || 0) + (sun[k + 1]! || 0)) / 2;
    if (s.at[k + 1]! - s.at[k]! > gapLimitMs) {
      sums.gapClearWh += expectedW * hours;
      continue;
    }
    sums.inWh += inW * hours;
    if (held[k] === 1) continue;
    sums.freeClearWh += expectedW * hours;
    sums.freeInWh += inW * hours;
  }
  // Nothing told any more before the light was gone.
  for (let at = s.at[to]!; at + MINUTE_MS < endAt && endAt - s.at[to]! > gapLimitMs; at += MINUTE_MS) {
    const wh = (clear(at) * MINUTE_MS) / HOUR_MS;
    sums.clearWh += wh;
    sums.gapClearWh += wh;
  }
  return { ...sums, full, limited };
}

function spoilersOf(asked: Asked, run: SunRun, day: Day | null): Spoiled[] {
  const { samples: s } = asked;
  const { from, to } = run;
  const gaps = [
    ...gapsSeen(s.at, from, to, asked.gapLimitMs, Number.POSITIVE_INFINITY),
    ...(run.over
      ? gapsSeen(Float64Array.of(s.at[to]!, run.endAt), 0, 1, asked.gapLimitMs, Number.POSITIVE_INFINITY)
      : []),
  ];
  const until = asked.endedAt ?? asked.nowAt;
  const trailing = run.over ? [] : gapsSeen(Float64Array.of(s.at[to]!, until), 0, 1, asked.gapLimitMs, HOUR_MS);
  const mains = isTold(s.solarW)
    ? []
    : stretchesWhere(s.at, from, to, k => s.chargerW[k]! > INPUT_W || s.onMains[k] === 1, MINUTE_MS, MINUTE_MS).map(
        of => spoiled('mainsBack', s.at[of.from]!, s.at[of.to]!, 'spoils'),
      );
  if (day === null) return [...gaps, ...trailing, ...mains];
  const lost = (wh: number): Spoiled['consequence'] => (wh > LOST_SHARE * day.clearWh ? 'spoils' : 'widens');
  const heldWh = day.clearWh - day.freeClearWh - day.gapClearWh;
  const held = (what: 'batteryFull' | 'portLimited', of: readonly Stretch[]) =>
    of.map(f =>
      spoiled(what, s.at[f.from]!, s.at[f.to]!, lost(heldWh), (s.at[f.to]! - s.at[f.from]!) / MINUTE_MS, 'min'),
    );
  const share = day.freeClearWh === 0 ? 1 : day.freeInWh / day.freeClearWh;
  return [
    ...gaps.map(gap => ({ ...gap, consequence: lost(day.gapClearWh) })),
    ...trailing,
    ...mains,
    ...held('batteryFull', day.full),
    ...held('portLimited', day.limited),
    ...(share < CLOUDY_SHARE && run.over
      ? [spoiled('clouds', s.at[from]!, s.at[to]!, 'noted', 100 * (1 - share), '%')]
      : []),
  ].sort((a, b) => a.at - b.at);
}

function clearCurve(asked: Asked, { from, to }: Stretch, clear: (at: number) => number): TrialCurve {
  const { samples: s } = asked;
  return hourCurve(
    'clearSkyByHour',
    s.at,
    s.at.map(at => clear(at)),
    from,
    to,
  );
}

/**
 * What clouds may have done between readings: as of a random walk held at both, variance step² × time² / 12 (from memory);
 * steps told by second differences, which are twice as large in square and leave the course of the sun out. Readings that
 * are means of a while themselves miss less: tuned on the plant.
 */
const BENDS = 60;

function sampledWh(at: Float64Array, sun: Float64Array, { from, to }: Stretch, gapLimitMs: number): number {
  let squares = 0;
  for (let k = from + 1; k < to; k++) {
    const hours = (at[k + 1]! - at[k]!) / HOUR_MS;
    const bend = sun[k + 1]! - 2 * sun[k]! + sun[k - 1]!;
    if (at[k + 1]! - at[k - 1]! <= 2 * gapLimitMs && !Number.isNaN(bend)) squares += (bend * hours) ** 2 / BENDS;
  }
  return Math.sqrt(squares);
}

function resultOf(
  asked: Asked,
  run: Stretch,
  clear: ((at: number) => number) | null,
  day: Day | null,
): TrialResult | null {
  const { samples: s, options, station } = asked;
  const { from, to } = run;
  if (to - from < 5) return null;
  const sun = solarColumn(asked);
  const counted = countedWh(s, sun, from, to, asked.gapLimitMs, `digits:${station}:in`, { begin: false, end: false });
  const sampled = fromScatter('sky', sampledWh(s.at, sun, run, asked.gapLimitMs), (to - from) / 4);
  const harvest = figureOf('harvestWh', counted.energyWh, 'Wh', 'ownWatts', [...counted.terms, sampled]);
  const halfAt = bandOfWatts(valuesOf(sun, from, to), options.ownWattsLimitPct);
  const curves = [hourCurve('wattsByHour', s.at, sun, from, to, halfAt)];
  const under = {
    meanW: counted.energyWh / counted.hours,
    tempC: null,
    fromPct: pctToldAt(s, from),
    toPct: pctToldAt(s, to),
  };
  if (clear === null || day === null || day.freeClearWh <= 0) return { figures: [harvest], curves, under };
  const pct = (100 * day.freeInWh) / day.freeClearWh;
  const terms = [
    ownGain(pct, options.ownWattsLimitPct, station, 'in'),
    ...scaled(clearTerms(options.place, options.turbidityTold, options.panels, day.brightestAt), pct),
    ...scaled([...counted.terms, sampled], pct / Math.max(1, counted.energyWh)),
  ];
  return {
    figures: [harvest, figureOf('ofClearSkyPct', pct, '%', 'clearSky', terms)],
    curves: [...curves, clearCurve(asked, run, clear)],
    under,
  };
}

/** Judges a day of solar input. */
export function judgeSolar(asked: Asked): TrialJudgement {
  const from = beginning(asked);
  if (typeof from === 'string') return waiting(asked, from);
  const clear = clearWatts(asked.options.place, asked.options.panels);
  const run = ending(asked, from, clear);
  const { samples: s } = asked;
  const day = clear === null || run.to <= run.from ? null : dayOf(asked, run, clear);
  return stood(asked, {
    beganAt: s.at[from]!,
    endedAt: run.over ? s.at[run.to]! : null,
    endsBecause: run.over ? 'sunset' : null,
    spoiledBy: spoilersOf(asked, run, day),
    progress: {},
    result: () => resultOf(asked, run, clear, day),
    endsByOwner: true,
  });
}
