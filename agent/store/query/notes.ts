/** What the owner noted of days. A record of an older schema that is only read has none. */
import type { Note, RecordQueries } from '#messages';
import type { Connection } from '../connection.ts';

const SINCE_SCHEMA = 6;

export function prepareNotes(db: Connection): Pick<RecordQueries, 'notes' | 'lastNote'> {
  if (Number(db.pragma('user_version', { simple: true })) < SINCE_SCHEMA)
    return { notes: () => [], lastNote: () => null };
  const columns = `SELECT station.name AS station, note AS id, date, at, text, writtenAt, takenBackAt
    FROM note JOIN station ON station.id = note.station WHERE station.name = ?`;
  const notes = db.prepare<[string, string, string], Note>(
    `${columns} AND takenBackAt IS NULL AND date >= ? AND date <= ? ORDER BY date, at, note`,
  );
  const last = db.prepare<[string], Note>(`${columns} ORDER BY note DESC LIMIT 1`);
  return {
    notes: (station, fromDate, toDate) => notes.all(station, fromDate, toDate),
    lastNote: station => last.get(station) ?? null,
  };
}
