/**
 * Columns of the day's drawing: one grid over the whole civil day, 23 or 25 hours where the clocks change. null is a gap,
 * undefined a step that a slower source leaves out between two readings. Watts, %; instants epoch ms. Pure.
 */
import type { LedgerDayAnswer, SeriesAnswer } from '#messages';
import { bridged, type Cells, commonTop } from '../../charts/rows.ts';

/** What is asked of the record, in this order: level, coming in, going out. */
export const QUANTITIES = ['stateOfChargePct', 'inputPowerW', 'outputPowerW'] as const;

type Told = (number | null)[];

export interface DayColumns {
  /** Middles of the steps. */
  at: number[];
  stepMs: number;
  level: Cells;
  input: Cells;
  output: Cells;
  /** Clear sky. */
  clear: Cells;
  /** Top of the common scale of both rows, W. */
  topW: number;
  /** Stretches of output over the scale: where, and the highest in them. */
  cuts: { at: number; watts: number }[];
  /** Stretches with no reading up to now. */
  gaps: { fromMs: number; toMs: number }[];
}

export interface DayBounds {
  startMs: number;
  endMs: number;
  nowMs: number;
}

/** A stretch without readings is a gap from this many steps on. */
const GAP_STEPS = 3;
/** …and from this many of the source's own steps on. */
const USUAL_TIMES = 2.5;

/** So much covered time is more than numbers that were typed one soon after the other. */
const RECORDED_MS = 3_600_000;

/**
 * Between numbers that are typed nothing is missing. Where the record counted time as covered they came at a pace, as
 * those of an imported recording do, and what is further apart than that is a gap; so is a day without any.
 */
export const leastGapOfTyped = (day: LedgerDayAnswer['day']): number | null =>
  day === null || day.coveredMs >= RECORDED_MS ? 0 : null;

/**
 * @param leastGapMs age after which silence is a gap; null where the owner types the numbers: between them nothing is
 *   missing
 */
export function dayColumns(
  series: SeriesAnswer,
  clearSky: LedgerDayAnswer['clearSky'],
  { startMs, endMs, nowMs }: DayBounds,
  leastGapMs: number | null,
): DayColumns {
  const { stepMs } = series;
  const count = Math.max(1, Math.ceil((endMs - startMs) / stepMs));
  const at = Array.from({ length: count }, (_, i) => startMs + (i + 0.5) * stepMs);
  const offset = Math.round((startMs - Date.parse(series.startAt)) / stepMs);
  const told = (name: string): Told =>
    at.map((moment, i) => (moment > nowMs ? null : (series.columns[name]?.mean[i + offset] ?? null)));
  const [level, input, output] = QUANTITIES.map(told) as [Told, Told, Told];
  const seen = at.map((_, i) => level[i] !== null || input[i] !== null || output[i] !== null);
  const gapMs =
    leastGapMs === null ? null : Math.max(GAP_STEPS * stepMs, leastGapMs, USUAL_TIMES * usualMs(seen, stepMs));
  const drawn = (cells: (number | null)[]) => bridged(cells, (gapMs ?? endMs - startMs) / stepMs);
  const clear = at.map(moment => clearAt(clearSky, moment - startMs));
  const topW = commonTop([...input, ...clear], output);
  return {
    at,
    stepMs,
    level: drawn(level),
    input: drawn(input),
    output: drawn(output.map(watts => (watts === null ? null : Math.min(watts, topW)))),
    clear,
    topW,
    cuts: cutsOver(at, output, topW),
    gaps: gapMs === null ? [] : gapsOf(seen, { startMs, stepMs, untilMs: Math.min(endMs, nowMs) }, gapMs),
  };
}

/** The median distance of two steps with readings. */
function usualMs(seen: readonly boolean[], stepMs: number): number {
  const at = seen.flatMap((is, i) => (is ? i : []));
  const distances = at
    .slice(1)
    .map((i, k) => i - at[k]!)
    .sort((a, b) => a - b);
  return (distances[Math.floor(distances.length / 2)] ?? 1) * stepMs;
}

/** Between two values of the course, by their distance. */
function clearAt(clearSky: LedgerDayAnswer['clearSky'], intoMs: number): number | null {
  if (clearSky === null) return null;
  const { stepMs, powerW } = clearSky;
  const place = Math.min(Math.max(intoMs / stepMs - 0.5, 0), powerW.length - 1);
  const [low, part] = [Math.floor(place), place % 1];
  return powerW[low]! * (1 - part) + (powerW[low + 1] ?? 0) * part;
}

function gapsOf(
  seen: readonly boolean[],
  { startMs, stepMs, untilMs }: { startMs: number; stepMs: number; untilMs: number },
  gapMs: number,
): DayColumns['gaps'] {
  const gaps: DayColumns['gaps'] = [];
  let from = startMs;
  const close = (toMs: number) => {
    if (toMs - from >= gapMs) gaps.push({ fromMs: from, toMs });
  };
  seen.forEach((is, i) => {
    if (!is) return;
    close(startMs + i * stepMs);
    from = startMs + (i + 1) * stepMs;
  });
  close(untilMs);
  return gaps;
}

function cutsOver(at: readonly number[], output: readonly (number | null)[], top: number): DayColumns['cuts'] {
  const cuts: DayColumns['cuts'] = [];
  let open: DayColumns['cuts'][number] | null = null;
  output.forEach((watts, i) => {
    if (watts === null || watts <= top) {
      open = null;
    } else if (open === null) {
      open = { at: at[i]!, watts };
      cuts.push(open);
    } else if (watts > open.watts) Object.assign(open, { at: at[i]!, watts });
  });
  return cuts;
}
