/**
 * Spans the owner tells: where the station was (lent, stored, travelling: one at a time), and when the panels were in.
 * What is kept is what was: nothing lies ahead, and an end that is not known is left open.
 */
import { zoneOffsetMs } from '#energy/civil-day';
import type { RecordQueries, Span, SpanChange, ToldReason, ToldSpan } from '#messages';
import { TOLD_REASONS } from '#messages';
import { RequestFailure } from '../../../server/failure.ts';
import type { SaidByOwner } from '../pending.ts';

export interface SpannedAt {
  readonly station: string;
  readonly zone: string;
  readonly nowMs: number;
  /** It has a link: whether it is read is decided by letting it go. */
  readonly isRead: boolean;
}

type Asked = Pick<RecordQueries, 'spans'>;
type Bounds = Pick<Span, 'reason' | 'fromMs' | 'toMs'>;

export const isTold = (span: Span): span is Span & { reason: ToldReason } =>
  (TOLD_REASONS as readonly string[]).includes(span.reason);

/** Every span the owner told of a station, oldest first. */
export const toldSpans = (record: Asked, station: string): Span[] =>
  record.spans(station, 0, Number.MAX_SAFE_INTEGER).filter(isTold);

const NAMES: Record<ToldReason, string> = {
  lent: 'lent',
  stored: 'stored',
  travelling: 'travelling',
  panelsIn: 'panels in',
};

/** A station is in one place at a time; its panels are in or out wherever it is. */
const excludes = (a: Bounds, b: Bounds): boolean => (a.reason === 'panelsIn') === (b.reason === 'panelsIn');
const endOf = ({ toMs }: Bounds): number => toMs ?? Number.POSITIVE_INFINITY;
const overlap = (a: Bounds, b: Bounds): boolean => a.fromMs < endOf(b) && b.fromMs < endOf(a);

/** `2026-07-03 14:05` in the zone. */
const moment = (at: number, zone: string): string =>
  new Date(at + zoneOffsetMs(at, zone)).toISOString().slice(0, 16).replace('T', ' ');

const refuse = (message: string, fix: string, path: string): RequestFailure =>
  new RequestFailure(400, message, fix, path);

/** @throws RequestFailure naming the field at fault */
export function spanChanged(record: Asked, at: SpannedAt, change: SpanChange): SaidByOwner {
  const told = toldSpans(record, at.station);
  const { station, nowMs } = at;
  if (change.do === 'begin') {
    const span = { station, reason: change.reason, fromMs: nowMs, toMs: null, note: change.note };
    return { toldSpans: [checked(span, told, at)] };
  }
  if (change.do === 'add') {
    const { reason, note } = change;
    return { toldSpans: [checked({ station, reason, ...boundsOf(change), note }, told, at)] };
  }
  const span = spanOf(told, change.of);
  if (change.do === 'remove') {
    refuseHeld(span, at);
    return { toldSpans: [{ ...span, takenBackAt: nowMs }] };
  }
  if (change.do === 'end') {
    if (span.toMs !== null) throw refuse('It has ended already.', 'Change its end instead.', 'of');
    refuseHeld(span, at);
    return { toldSpans: [{ ...span, toMs: Math.max(nowMs, span.fromMs + 1), takenBackAt: null }] };
  }
  if (span.toMs === null) refuseHeld(span, at);
  const rest = told.filter(other => other !== span);
  const { reason, note } = change;
  const next = checked({ station, reason, ...boundsOf(change), note }, rest, at);
  const moved = next.reason !== span.reason || next.fromMs !== span.fromMs;
  return { toldSpans: [...(moved ? [{ ...span, takenBackAt: nowMs }] : []), next] };
}

const boundsOf = ({ fromAt, toAt }: { fromAt: string; toAt: string | null }) => ({
  fromMs: Date.parse(fromAt),
  toMs: toAt === null ? null : Date.parse(toAt),
});

function spanOf(told: readonly Span[], of: { reason: ToldReason; fromAt: string }): Span {
  const span = told.find(({ reason, fromMs }) => reason === of.reason && fromMs === Date.parse(of.fromAt));
  if (span !== undefined) return span;
  throw refuse('There is no such span.', 'Load the day again: it may have been changed.', 'of');
}

/** A station that is put away is not read: only taking it out ends that. */
function refuseHeld(span: Bounds, { isRead, nowMs }: SpannedAt): void {
  if (span.reason !== 'stored' || !isRead || endOf(span) <= nowMs) return;
  throw refuse('The station is put away.', 'Take it out again: that ends it.', 'of');
}

function checked(span: Span, others: readonly Span[], at: SpannedAt): ToldSpan {
  const { fromMs, toMs, reason } = span;
  const { nowMs, zone, isRead } = at;
  if (toMs !== null && toMs <= fromMs) throw refuse('It would end before it begins.', 'Choose a later end.', 'toAt');
  if (fromMs > nowMs) throw refuse('It would begin ahead.', 'Tell it once it has begun.', 'fromAt');
  if (toMs !== null && toMs > nowMs)
    throw refuse('Its end lies ahead.', 'Leave the end open, and end it when it is over.', 'toAt');
  if (reason === 'stored' && toMs === null && isRead)
    throw refuse('A station that is read cannot be stored by telling.', 'Put it away: then it is let alone.', 'reason');
  const other = others.find(one => excludes(one, span) && overlap(one, span));
  if (other !== undefined) {
    const until = other.toMs === null ? 'and lasts' : `to ${moment(other.toMs, zone)}`;
    throw refuse(
      `It overlaps “${NAMES[other.reason as ToldReason]}” from ${moment(other.fromMs, zone)} ${until}.`,
      'Change that one first, or choose other times.',
      other.fromMs >= fromMs ? 'toAt' : 'fromAt',
    );
  }
  return { ...span, takenBackAt: null };
}
