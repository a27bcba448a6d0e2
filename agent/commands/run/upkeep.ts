/** The record's own care, as the agent runs it: what it finds is written in the log once. */
import { WattkeepError } from '#kit';
import type { Log } from '../../log/log.ts';
import type { OpenedRecord } from '../../store/open.ts';
import { brokenDay } from '../record-words.ts';

/** One piece a call. A disk or record that does not let it is complained about once, until it does again. */
export function createUpkeep(record: OpenedRecord, log: Log): () => void {
  let complained = false;
  return () => {
    try {
      for (const day of record.upkeep())
        log.error('record', brokenDay(day.date), { station: day.station, date: day.date });
      complained = false;
    } catch (error) {
      if (!(error instanceof WattkeepError)) throw error;
      if (!complained) log.error('record', error.message, { code: error.code });
      complained = true;
    }
  };
}
