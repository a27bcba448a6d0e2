/** What a station's own counters said. A record of an older schema that is only read has nothing of it. */
import type { BridgedBlock, CountedDay, CounterEnd, RecordQueries } from '#messages';
import type { Connection } from '../connection.ts';

const SINCE_SCHEMA = 8;

export function prepareCountedQueries(db: Connection): Pick<RecordQueries, 'counted' | 'bridges' | 'counterEnds'> {
  if (Number(db.pragma('user_version', { simple: true })) < SINCE_SCHEMA)
    return { counted: () => [], bridges: () => [], counterEnds: () => [] };
  const from = (table: string) => `FROM ${table} JOIN station ON station.id = ${table}.station WHERE station.name = ?`;
  const counted = db.prepare<[string, string, string], CountedDay>(`SELECT quantity, date, zone, startMs, endMs,
    countedMilliJ, comparedMilliJ, integratedMilliJ, flowMs, stretches, largestMilliJ, spreadWh2, lastMilliWh,
    counted.lastAt AS lastAt, unchangedMs, stepMilliWh ${from('counted')} AND date >= ? AND date <= ?
    ORDER BY date, startMs, zone, quantity`);
  const bridges = db.prepare<[string, number, number], BridgedBlock>(`SELECT station.name AS station, quantity, fromAt,
    toAt, milliJ, cause, gapMs, fromMilliWh, toMilliWh, stepMilliWh ${from('bridge')} AND fromAt < ? AND toAt > ?
    ORDER BY fromAt, quantity`);
  // Of bare columns beside max() SQLite takes those of the row that holds it.
  const ends = db.prepare<[string], CounterEnd>(`SELECT quantity, lastMilliWh, unchangedMs, stepMilliWh,
    max(counted.lastAt) AS lastAt ${from('counted')} GROUP BY quantity ORDER BY quantity`);
  return {
    counted: (station, fromDate, toDate) => counted.all(station, fromDate, toDate),
    bridges: (station, fromMs, toMs) => bridges.all(station, toMs, fromMs),
    counterEnds: station => ends.all(station),
  };
}
