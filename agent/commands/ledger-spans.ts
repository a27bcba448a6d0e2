/**
 * Stretches of time that explain missing or idle minutes: which minutes of a day the panels were not out, and what the
 * state of charge was before and after.
 */
import type { LedgerSpan, RecordQueries, Span, SpanReason } from '#messages';
import { toInstant } from '../server/encode.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
/** In these the panels give nothing for a reason of the owner's. */
const NOT_OUT: readonly SpanReason[] = ['lent', 'stored', 'travelling', 'panelsIn'];
/** Shorter silences than this explain themselves. */
const LEAST_SILENCE_MS = 10 * MINUTE_MS;
/** A state of charge further off than this from where a stretch began or ended is not told. */
const LOOKED_AROUND_MS = 6 * HOUR_MS;

/** 1 in minutes that lie in a stretch in which the panels were not out. */
export function awayMinutes(spans: readonly Span[], startMs: number, count: number): Uint8Array {
  const away = new Uint8Array(count);
  for (const { reason, fromMs, toMs } of spans) {
    if (!NOT_OUT.includes(reason)) continue;
    const minuteOf = (ms: number) => Math.min(count, Math.max(0, Math.round((ms - startMs) / MINUTE_MS)));
    away.fill(1, minuteOf(fromMs), minuteOf(toMs ?? Number.POSITIVE_INFINITY));
  }
  return away;
}

/** The owner's stretches, and silences that are long enough to be asked about. */
export function spansTold(record: Pick<RecordQueries, 'series'>, spans: readonly Span[]): LedgerSpan[] {
  const isAutomatic = ({ reason }: Span) => reason === 'agentDown' || reason === 'noReading';
  return spans
    .filter(span => !isAutomatic(span) || (span.toMs ?? Number.POSITIVE_INFINITY) - span.fromMs >= LEAST_SILENCE_MS)
    .map(span => ({
      reason: span.reason,
      fromAt: toInstant(span.fromMs),
      toAt: span.toMs === null ? null : toInstant(span.toMs),
      note: span.note,
      beforePct: isAutomatic(span) ? null : chargeBefore(record, span.station, span.fromMs),
      afterPct: isAutomatic(span) || span.toMs === null ? null : chargeAfter(record, span.station, span.toMs),
    }));
}

const chargeBefore = (record: Pick<RecordQueries, 'series'>, station: string, atMs: number): number | null =>
  chargeOver(record, station, atMs - LOOKED_AROUND_MS, atMs).findLast(pct => pct !== null) ?? null;

const chargeAfter = (record: Pick<RecordQueries, 'series'>, station: string, atMs: number): number | null =>
  chargeOver(record, station, atMs, atMs + LOOKED_AROUND_MS).find(pct => pct !== null) ?? null;

function chargeOver(record: Pick<RecordQueries, 'series'>, station: string, fromMs: number, toMs: number) {
  const [from, to] = [Math.floor(fromMs / MINUTE_MS) * MINUTE_MS, Math.ceil(toMs / MINUTE_MS) * MINUTE_MS];
  const points = (to - from) / MINUTE_MS;
  const series = record.series({ station, quantities: ['stateOfChargePct'], fromMs: from, toMs: to, points });
  return series.columns.stateOfChargePct?.mean ?? [];
}
