/** Stretches whose raw readings are kept beyond their time. A record of an older schema that is only read has none. */
import type { Evidence, RecordQueries } from '#messages';
import type { Connection } from '../connection.ts';

export const EVIDENCE_SINCE_SCHEMA = 7;

export function prepareEvidence(db: Connection): Pick<RecordQueries, 'evidence'> {
  if (Number(db.pragma('user_version', { simple: true })) < EVIDENCE_SINCE_SCHEMA) return { evidence: () => [] };
  const all = db.prepare<[string], Evidence>(`SELECT station.name AS station, why, fromMs, toMs, droppedAt
    FROM evidence JOIN station ON station.id = evidence.station
    WHERE station.name = ? AND droppedAt IS NULL ORDER BY fromMs, why`);
  return { evidence: station => all.all(station) };
}
