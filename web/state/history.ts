/**
 * The past of one station as the chart needs it: equal buckets, one column of mean and one of highest value for each
 * quantity, null where the record holds nothing. New readings and refetched stretches fall into the same buckets, so
 * that a gap is never bridged.
 */
import type { SeriesAnswer } from '#messages';

export interface Column {
  mean: (number | null)[];
  max: (number | null)[];
  /** Readings folded into a live bucket, for its running mean; 0 where the record answered. */
  held: number[];
}

export interface History {
  startMs: number;
  stepMs: number;
  /** Buckets so far; the last may still be filling. */
  count: number;
  columns: Record<string, Column>;
}

export const emptyHistory = (startMs: number, stepMs: number, quantities: readonly string[]): History => ({
  startMs,
  stepMs,
  count: 0,
  columns: Object.fromEntries(quantities.map(q => [q, { mean: [], max: [], held: [] }])),
});

/** Instant at which bucket i begins, epoch ms. */
export const bucketStart = (history: History, i: number): number => history.startMs + i * history.stepMs;

function grow(history: History, count: number): void {
  for (const column of Object.values(history.columns)) {
    while (column.mean.length < count) {
      column.mean.push(null);
      column.max.push(null);
      column.held.push(0);
    }
  }
  history.count = Math.max(history.count, count);
}

/** Folds one reading in. A reading from before the window is ignored. Changes `history`. */
export function addReading(history: History, at: number, values: Record<string, number | null>): void {
  const i = Math.floor((at - history.startMs) / history.stepMs);
  if (i < 0) return;
  grow(history, i + 1);
  for (const [name, column] of Object.entries(history.columns)) {
    const value = values[name] ?? null;
    if (value === null) continue;
    const held = Math.max(column.held[i]!, column.mean[i] === null ? 0 : 1);
    column.mean[i] = held === 0 ? value : (column.mean[i]! * held + value) / (held + 1);
    column.max[i] = Math.max(column.max[i] ?? value, value);
    column.held[i] = held + 1;
  }
}

/**
 * Lays an answer of the record over the buckets it touches. Where it says nothing a value already held stays; where
 * its steps are finer several fall together, where they are coarser one fills all the buckets it covers.
 */
export function addSeries(history: History, answer: SeriesAnswer): void {
  const from = Date.parse(answer.startAt);
  const span = Math.max(answer.stepMs, 1);
  const end = Math.ceil((from + answer.count * span - history.startMs) / history.stepMs);
  if (end <= 0) return;
  grow(history, end);
  for (const [name, column] of Object.entries(history.columns)) {
    const source = answer.columns[name];
    if (source === undefined) continue;
    for (let i = Math.max(0, Math.floor((from - history.startMs) / history.stepMs)); i < end; i++) {
      const first = Math.max(0, Math.floor((bucketStart(history, i) - from) / span + 1e-9));
      const last = Math.min(
        answer.count,
        Math.max(first + 1, Math.ceil((bucketStart(history, i + 1) - from) / span - 1e-9)),
      );
      const means = source.mean.slice(first, last).filter(v => v !== null);
      const tops = source.max.slice(first, last).filter(v => v !== null);
      if (means.length === 0) continue;
      column.mean[i] = means.reduce((a, b) => a + b, 0) / means.length;
      column.max[i] = tops.length === 0 ? column.mean[i]! : Math.max(...tops);
      column.held[i] = 0;
    }
  }
}

/** Drops whole buckets that end before `fromMs`. Changes `history`. */
export function forgetBefore(history: History, fromMs: number): void {
  const drop = Math.min(history.count, Math.floor((fromMs - history.startMs) / history.stepMs));
  if (drop <= 0) return;
  for (const column of Object.values(history.columns)) {
    column.mean.splice(0, drop);
    column.max.splice(0, drop);
    column.held.splice(0, drop);
  }
  history.startMs += drop * history.stepMs;
  history.count -= drop;
}

/** Stretches without any state of charge of at least `leastMs`, between readings or up to now; epoch ms. */
export function gapsIn(
  history: History,
  quantity: string,
  nowMs: number,
  leastMs: number,
): { fromMs: number; toMs: number }[] {
  const gaps: { fromMs: number; toMs: number }[] = [];
  const mean = history.columns[quantity]?.mean ?? [];
  let last: number | null = null;
  const close = (toMs: number) => {
    if (last !== null && toMs - last >= leastMs) gaps.push({ fromMs: last, toMs });
  };
  for (let i = 0; i < history.count; i++) {
    if (mean[i] === null) continue;
    close(bucketStart(history, i));
    last = bucketStart(history, i + 1);
  }
  close(nowMs);
  return gaps;
}
