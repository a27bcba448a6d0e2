/** The record's own care, as the agent runs it: what it finds, and what is to be known before it does it, is logged once. */
import { WattkeepError } from '#kit';
import type { Log } from '../../log/log.ts';
import type { OpenedRecord } from '../../store/open.ts';
import { brokenDay, noteTold } from '../record-words.ts';

/** Other notes are of what is logged where it happens. */
const LOGGED = ['willLetGo', 'longLog', 'lostLog'];

/** One piece a call. A disk or record that does not let it is complained about once, until it does again. */
export function createUpkeep(record: OpenedRecord, log: Log): () => void {
  let complained = false;
  const logged = new Set<string>();
  return () => {
    try {
      for (const day of record.upkeep())
        log.error('record', brokenDay(day.date), { station: day.station, date: day.date });
      for (const note of record.savedState().notes ?? []) {
        if (!LOGGED.includes(note.kind) || logged.has(note.kind)) continue;
        logged.add(note.kind);
        log.warn('record', noteTold(note));
      }
      complained = false;
    } catch (error) {
      if (!(error instanceof WattkeepError)) throw error;
      if (!complained) log.error('record', error.message, { code: error.code });
      complained = true;
    }
  };
}
