/**
 * Stretches of time that explain missing or idle minutes: which minutes of a day the panels were not out, and what the
 * state of charge was before and after.
 */
import type { LedgerSpan, RecordQueries, Span, SpanReason } from '#messages';
import { toInstant } from '../server/encode.ts';
import { levelsAround } from './run/telling/levels.ts';

const MINUTE_MS = 60_000;
/** In these the panels give nothing for a reason of the owner's. */
const NOT_OUT: readonly SpanReason[] = ['lent', 'stored', 'travelling', 'panelsIn'];
/** Shorter silences than this explain themselves. */
const LEAST_SILENCE_MS = 10 * MINUTE_MS;

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
  const isSilence = ({ reason }: Span) => reason === 'agentDown' || reason === 'noReading';
  return spans
    .filter(span => !isSilence(span) || (span.toMs ?? Number.POSITIVE_INFINITY) - span.fromMs >= LEAST_SILENCE_MS)
    .map(span => ({
      reason: span.reason,
      fromAt: toInstant(span.fromMs),
      toAt: span.toMs === null ? null : toInstant(span.toMs),
      note: span.note,
      ...(isSilence(span) ? NOT_ASKED : levelsAround(record, span)),
    }));
}

/** Silences are many, and their ends are in the curves. */
const NOT_ASKED = { beforePct: null, afterPct: null };
