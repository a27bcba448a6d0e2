/** Named spots and the marks of walks. A record of an older schema that is only read has none. */
import type { Mark, RecordQueries, Spot } from '#messages';
import type { Connection } from '../connection.ts';

const SINCE_SCHEMA = 4;

export function prepareMarks(db: Connection): Pick<RecordQueries, 'spots' | 'marks' | 'lastMark'> {
  if (Number(db.pragma('user_version', { simple: true })) < SINCE_SCHEMA)
    return { spots: () => [], marks: () => [], lastMark: () => null };
  const spots = db.prepare<[string], Spot>(`SELECT station.name AS station, spot AS id, spot.name, note, removedAt
    FROM spot JOIN station ON station.id = spot.station WHERE station.name = ? ORDER BY spot.name, spot`);
  const columns = `SELECT station.name AS station, mark AS id, walk, letter, at, movedAt, spot, againOf, note, meanW,
    errorW, seenJson, takenBackAt FROM mark JOIN station ON station.id = mark.station WHERE station.name = ?`;
  const marks = db.prepare<[string, number], Mark>(`${columns} AND walk >= ? ORDER BY mark`);
  const last = db.prepare<[string], Mark>(`${columns} ORDER BY mark DESC LIMIT 1`);
  return {
    spots: station => spots.all(station),
    marks: (station, fromWalk) => marks.all(station, fromWalk),
    lastMark: station => last.get(station) ?? null,
  };
}
