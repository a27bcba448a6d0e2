/**
 * The door through which pages ask about one day and tell of days. What is told is saved before it is answered; what is
 * rarely asked is loaded when it is.
 */
import type { Clock } from '#kit';
import type { RecordQueries, StationSettings } from '#messages';
import type { DayDoor } from '../../../server/deps.ts';
import { toInstant } from '../../../server/encode.ts';
import type { SaidByOwner } from '../pending.ts';
import type { DayRecord } from './day-answer.ts';

export interface DayDoorParts {
  readonly record: DayRecord & Pick<RecordQueries, 'lastNote'>;
  readonly clock: Pick<Clock, 'nowMs'>;
  /** Throws WattkeepError STATION_UNKNOWN. */
  station(id: string): { readonly settings: StationSettings; readonly zone: string };
  /** Saves at once, all or nothing. Throws WattkeepError where the disk takes nothing. */
  keep(said: SaidByOwner): void;
}

export function dayDoor({ record, clock, station: find, keep }: DayDoorParts): DayDoor {
  const now = (station: string) => {
    const { settings, zone } = find(station);
    return { station, zone, nowMs: clock.nowMs(), isRead: settings.transport.kind !== 'typed' };
  };
  return {
    async day(station, date) {
      const { dayAnswer } = await import('./day-answer.ts');
      return dayAnswer(record, now(station), date);
    },
    async spans(station, fromMs, toMs) {
      const { wireSpan } = await import('./day-answer.ts');
      return { station, spans: record.spans(station, fromMs, toMs).map(span => wireSpan(record, span)) };
    },
    async changeNote(station, change) {
      const { noteChanged } = await import('./notes.ts');
      keep(noteChanged(record, now(station), change));
    },
    async changeSpan(station, change) {
      const { spanChanged } = await import('./spans.ts');
      keep(spanChanged(record, now(station), change));
    },
    async facts(station) {
      const { isMovable } = await import('./facts.ts');
      const facts = record.facts(station).map(({ key, valueJson, validFromMs }) => ({
        key,
        valueJson,
        validFromAt: toInstant(validFromMs),
        movable: isMovable(key),
      }));
      return { station, zone: now(station).zone, facts };
    },
    async moveFact(station, change) {
      const { factMoved } = await import('./facts.ts');
      const { said, changed } = factMoved(record, now(station), change);
      if (changed.done) keep(said);
      return changed;
    },
  };
}
