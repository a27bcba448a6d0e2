/** Questions answered from plain rows: days, outages, spans, facts, cursors, the extent of a record. */
import type { Reading } from '#kit';
import type { Cursor, DayTotals, Fact, Outage, RecordQueries, Span } from '#messages';
import type { Connection } from '../connection.ts';
import { lastAtOf, lastSeqOf } from '../ends.ts';

export type LedgerQueries = Pick<
  RecordQueries,
  'stations' | 'days' | 'extent' | 'outages' | 'spans' | 'facts' | 'cursor' | 'learned'
> & {
  /** Instant of the last recorded reading of any station. */
  lastAt(): number | null;
  /** True where the reading was recorded. */
  holds(reading: Pick<Reading, 'station' | 'session' | 'seq'>): boolean;
};

const FROM_STATION = (table: string) => `FROM ${table} JOIN station ON station.id = ${table}.station
  WHERE station.name = ?`;

/** A record of an older schema that is only read lacks them. */
const outageColumns = (db: Connection): string =>
  Number(db.pragma('user_version', { simple: true })) >= 3
    ? 'lowestPct, inputMilliJ, promisedAt, promisedP10At, promisedP50At, floorAt'
    : `NULL AS lowestPct, 0 AS inputMilliJ, NULL AS promisedAt, NULL AS promisedP10At, NULL AS promisedP50At,
       NULL AS floorAt`;

const spansThatStand = (db: Connection): string =>
  Number(db.pragma('user_version', { simple: true })) >= 6 ? 'AND takenBackAt IS NULL' : '';

export function prepareLedgerQueries(db: Connection): LedgerQueries {
  const stations = db.prepare<[], string>('SELECT name FROM station ORDER BY id').pluck();
  const days = db.prepare<[string, string, string], DayTotals>(`SELECT date, zone, startMs, endMs, solarMilliJ,
    inputMilliJ, outputMilliJ, coveredMs, gapMs, solarPeakW, stateOfChargeMinPct, stateOfChargeMaxPct
    ${FROM_STATION('day')} AND date >= ? AND date <= ? ORDER BY date, startMs, zone`);
  const extent = db.prepare<[string], { fromMs: number; toMs: number }>(
    `SELECT firstAt AS fromMs, ${lastAtOf} AS toMs FROM station WHERE name = ? AND firstAt IS NOT NULL`,
  );
  const outages = db.prepare<[string, number, number], Outage>(`SELECT station.name AS station, startedAt, endedAt,
    startPct, endPct, outputMilliJ, ${outageColumns(db)} ${FROM_STATION('outage')}
    AND startedAt < ? AND (endedAt IS NULL OR endedAt > ?) ORDER BY startedAt`);
  const spans = db.prepare<[string, number, number], Span>(`SELECT station.name AS station, reason, fromMs, toMs, note
    ${FROM_STATION('span')} AND fromMs < ? AND (toMs IS NULL OR toMs > ?) ${spansThatStand(db)} ORDER BY fromMs, reason`);
  const facts = db.prepare<[string], Fact>(`SELECT station.name AS station, key, valueJson, validFromMs
    ${FROM_STATION('fact')} ORDER BY key, validFromMs`);
  const cursor = db.prepare<[string], Cursor>(`SELECT station.name AS station, session, seq, at, inputSource
    ${FROM_STATION('cursor')}`);
  const lastAt = db.prepare<[], number | null>(`SELECT max(${lastAtOf}) FROM station`).pluck();
  const lastSeq = db
    .prepare<[string, string], number>(`SELECT ${lastSeqOf(db)} ${FROM_STATION('session')} AND session.name = ?`)
    .pluck();
  return {
    stations: () => stations.all(),
    days: (station, fromDate, toDate) => days.all(station, fromDate, toDate),
    extent: station => extent.get(station) ?? null,
    outages: (station, fromMs, toMs) => outages.all(station, toMs, fromMs),
    spans: (station, fromMs, toMs) => spans.all(station, toMs, fromMs),
    facts: station => facts.all(station),
    cursor: station => cursor.get(station) ?? null,
    // Asked once a start, and absent from a record of the first schema that is only read.
    learned: station =>
      db
        .prepare<[string], string>(`SELECT valueJson ${FROM_STATION('learned')}`)
        .pluck()
        .get(station) ?? null,
    holds: ({ station, session, seq }) => (lastSeq.get(station, session) ?? 0) >= seq,
    lastAt: () => lastAt.get() ?? null,
  };
}
