/**
 * From when a fact was true, put right where the owner typed it later than it became so. One fact moves between its
 * neighbours of the same key; no value and no other fact changes. The first of a key holds for the time before it too, so
 * moving that one changes no day.
 */
import { civilDate, startOfDate } from '#energy/civil-day';
import type { Fact, FactChange, FactChanged, RecordQueries } from '#messages';
import { MOVABLE_FACTS } from '#messages';
import { RequestFailure } from '../../../server/failure.ts';
import type { SaidByOwner } from '../pending.ts';

export const isMovable = (key: string): boolean => (MOVABLE_FACTS as readonly string[]).includes(key);

export interface FactMove {
  readonly said: SaidByOwner;
  readonly changed: FactChanged;
}

/** @throws RequestFailure where there is no such fact, or another one stands between */
export function factMoved(
  record: Pick<RecordQueries, 'facts' | 'days'>,
  { station, zone, nowMs }: { station: string; zone: string; nowMs: number },
  { key, validFromAt, date, dryRun }: FactChange,
): FactMove {
  const fromMs = Date.parse(validFromAt);
  const line = record
    .facts(station)
    .filter(fact => fact.key === key)
    .sort((a, b) => a.validFromMs - b.validFromMs);
  const index = line.findIndex(fact => fact.validFromMs === fromMs);
  const fact = line[index];
  if (fact === undefined)
    throw new RequestFailure(400, 'There is no such fact.', 'Load the list again.', 'validFromAt');
  const toMs = startOfDate(date, zone);
  if (date > civilDate(nowMs, zone))
    throw new RequestFailure(400, `${date} lies ahead.`, 'Change the setting on that day.', 'date');
  refuseCrossing(line, index, toMs, zone);
  const before = line[index - 1] ?? null;
  return {
    said: { movedFacts: [{ station, key, fromMs, toMs }] },
    changed: { done: !dryRun, ...changedDays(record, { fact, before, toMs, zone }) },
  };
}

function refuseCrossing(line: readonly Fact[], index: number, toMs: number, zone: string): void {
  const [before, after] = [line[index - 1], line[index + 1]];
  const other =
    before !== undefined && toMs <= before.validFromMs
      ? before
      : after !== undefined && toMs >= after.validFromMs
        ? after
        : null;
  if (other === null) return;
  const day = civilDate(other.validFromMs, zone);
  throw new RequestFailure(
    400,
    `Another value is true from ${day} on.`,
    `Choose a day ${other === before ? 'after' : 'before'} it, or move that one first.`,
    'date',
  );
}

interface Moving {
  fact: Fact;
  before: Fact | null;
  toMs: number;
  zone: string;
}

/** Days take the value that holds in their middle, so those count whose middle lies between. */
function changedDays(record: Pick<RecordQueries, 'days'>, { fact, before, toMs, zone }: Moving) {
  const earlier = toMs < fact.validFromMs;
  const [lowMs, highMs] = earlier ? [toMs, fact.validFromMs] : [fact.validFromMs, toMs];
  const fromDate = civilDate(lowMs, zone);
  const toDate = civilDate(Math.max(lowMs, highMs - 1), zone);
  const touched =
    before === null
      ? []
      : record
          .days(fact.station, fromDate, toDate)
          .filter(({ startMs, endMs }) => (startMs + endMs) / 2 >= lowMs && (startMs + endMs) / 2 < highMs);
  const [held, moved] = [before?.valueJson ?? null, fact.valueJson];
  return {
    fromDate,
    toDate,
    days: new Set(touched.map(day => day.date)).size,
    wasJson: earlier ? held : moved,
    becomesJson: earlier ? moved : held,
  };
}
