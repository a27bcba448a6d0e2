/**
 * Columns of the Now drawing, ready for the chart: one time column, the past's means on the left, the fan of the
 * projection on the right, null where there is nothing. Rows share one scale; what reaches over it is cut, with its number.
 */
import type { WireProjection } from '#messages';
import { bucketStart, type History } from '../state/history.ts';
import { bridged, type Cells, commonTop, isNumber } from './rows.ts';
import type { Span } from './span.ts';

export const LEVEL = 'stateOfChargePct';
export const INPUT = 'inputPowerW';
export const OUTPUT = 'outputPowerW';
/** Quantiles of the fan, lowest first. */
export const FAN = ['p5', 'p10', 'p25', 'p50', 'p75', 'p90', 'p95'] as const;
type FanName = (typeof FAN)[number];

export interface NowColumns {
  /** Epoch ms, rising. */
  at: number[];
  level: Cells;
  input: Cells;
  output: Cells;
  fan: Record<FanName, Cells>;
  /** Index of the first moment that lies ahead. */
  aheadFrom: number;
  /** Top of the common scale of both rows, W. */
  rowTopW: number;
  /** Stretches of output over the scale: where, and the highest mean in them. */
  cuts: { at: number; watts: number }[];
}

/** @param bridgeMs readings closer together than this belong to one line */
export function nowColumns(
  history: History,
  projection: WireProjection | null,
  span: Span,
  bridgeMs: number,
): NowColumns {
  const past = pastIndices(history, span);
  const cells = (name: string): Cells =>
    bridged(
      past.map(i => history.columns[name]?.mean[i] ?? null),
      bridgeMs / history.stepMs,
    );
  const at = past.map(i => bucketStart(history, i) + history.stepMs / 2);
  const [level, input, output] = [cells(LEVEL), cells(INPUT), cells(OUTPUT)];
  const rowTopW = commonTop(input, output);
  const cuts = cutsOver(at, output, rowTopW);
  const ahead = aheadSteps(projection, span);
  // Past and fan meet at now, where the newest bucket is still filling.
  const joint = at.length > 0 && span.nowMs - at.at(-1)! <= 2.5 * history.stepMs && span.nowMs > at.at(-1)!;
  const meeting = joint ? (level.at(-1) ?? null) : null;
  const before = past.map(() => null);
  const after: Cells = ahead.map(() => null);
  const along = (values: Cells, last: number | null) => [...values, ...(joint ? [last] : []), ...after];
  const fanOf = (name: FanName): Cells => [
    ...before,
    ...(joint ? [meeting] : []),
    ...ahead.map(step => step.values[name]),
  ];
  return {
    at: [...at, ...(joint ? [span.nowMs] : []), ...ahead.map(step => step.at)],
    level: along(level, meeting),
    input: along(input, input.at(-1) ?? null),
    output: along(
      output.map(v => (isNumber(v) ? Math.min(v, rowTopW) : v)),
      output.at(-1) ?? null,
    ),
    fan: Object.fromEntries(FAN.map(name => [name, fanOf(name)])) as Record<FanName, Cells>,
    aheadFrom: at.length + (joint ? 1 : 0),
    rowTopW,
    cuts,
  };
}

function pastIndices(history: History, span: Span): number[] {
  const indices: number[] = [];
  for (let i = 0; i < history.count; i++) {
    const middle = bucketStart(history, i) + history.stepMs / 2;
    if (middle >= span.fromMs && middle <= span.nowMs) indices.push(i);
  }
  return indices;
}

function aheadSteps(projection: WireProjection | null, span: Span) {
  const fan = projection?.fan ?? null;
  if (fan === null) return [];
  const startMs = Date.parse(fan.startAt);
  return fan.p50
    .map((_, i) => ({
      at: startMs + i * fan.stepMs,
      values: Object.fromEntries(FAN.map(name => [name, fan[name][i] ?? null])) as Record<FanName, number | null>,
    }))
    .filter(step => step.at > span.nowMs && step.at <= span.toMs + fan.stepMs);
}

function cutsOver(at: readonly number[], output: Cells, top: number): { at: number; watts: number }[] {
  const cuts: { at: number; watts: number }[] = [];
  let open: { at: number; watts: number } | null = null;
  output.forEach((watts, i) => {
    if (watts === undefined) return;
    if (watts === null || watts <= top) {
      open = null;
    } else if (open === null) {
      open = { at: at[i]!, watts };
      cuts.push(open);
    } else if (watts > open.watts) {
      open.at = at[i]!;
      open.watts = watts;
    }
  });
  return cuts;
}
