/** Where a station and a session end, as SQL: in their own rows, or in the hour that is still open. */
import type { Connection } from './kept.ts';

/** Of a row of `station`. */
export const lastAtOf = `max(station.lastAt, coalesce((SELECT max(toAt) FROM tail WHERE tail.station = station.id),
  station.lastAt))`;

const SINCE_SCHEMA = 9;

/** Of a row of `session`, in a record of any schema. */
export const lastSeqOf = (db: Connection): string =>
  Number(db.pragma('user_version', { simple: true })) < SINCE_SCHEMA
    ? 'session.lastSeq'
    : `max(session.lastSeq, coalesce((SELECT max(tail.lastSeq) FROM tail
        WHERE tail.station = session.station AND tail.session = session.name), 0))`;
