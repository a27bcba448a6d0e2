/**
 * A mark of a station's past: a SHA-256 over everything recorded of it before an instant that the Ledger rests on. While
 * it is the same, so is what was worked out from it. Minutes are told by the checksums of their blocks, which are not
 * opened; those of a UTC day that goes on beyond the instant by how many readings there are before it.
 */
import { createHash } from 'node:crypto';
import type { Connection } from '../connection.ts';

/** What lies before is over. */
export interface PastBefore {
  /** Civil date that is not over, `YYYY-MM-DD`. */
  readonly date: string;
  /** Its beginning, UTC epoch ms. */
  readonly atMs: number;
  /** A fact may be dated ahead: by then it is true. */
  readonly nowMs: number;
  /** Readings themselves are looked at, not their minutes alone: which were let go counts. */
  readonly readings: boolean;
}

export type PastMark = (station: string, before: PastBefore) => string | null;

const DAY_MS = 86_400_000;
const SINCE_SCHEMA = 8;

/** The answer is null where days of two zones meet there: none of them ends with the one before. */
export function preparePastMark(db: Connection): PastMark {
  // Only a record that is written has every table.
  if (Number(db.pragma('user_version', { simple: true })) < SINCE_SCHEMA) return () => null;
  const ask = (sql: string) => db.prepare<Record<string, string | number>, unknown[]>(sql).raw();
  const stationId = db.prepare<[string], number>('SELECT id FROM station WHERE name = ?').pluck();
  const lasting = db
    .prepare<Record<string, string | number>, number>(`SELECT count(*) FROM day WHERE station = @id
      AND (date < @date AND endMs > @atMs OR date >= @date AND startMs < @atMs)`)
    .pluck();
  const parts = [
    'SELECT firstAt FROM station WHERE id = @id',
    'SELECT *, validFromMs <= @nowMs FROM fact WHERE station = @id',
    // The two long ones as one text each: rows by the hundred are dear to make.
    `SELECT group_concat(date || ' ' || zone || ' ' || startMs || ' ' || endMs || ' ' || solarMilliJ || ' ' || inputMilliJ
       || ' ' || outputMilliJ || ' ' || coveredMs || ' ' || gapMs || ' ' || solarPeakW || ' '
       || ifnull(stateOfChargeMinPct, '-') || ' ' || ifnull(stateOfChargeMaxPct, '-'), ';')
     FROM (SELECT * FROM day WHERE station = @id AND date < @date ORDER BY date, zone)`,
    'SELECT * FROM span WHERE station = @id AND fromMs < @atMs',
    'SELECT * FROM counted WHERE station = @id AND date < @date',
    'SELECT * FROM bridge WHERE station = @id AND fromAt < @atMs',
    'SELECT * FROM letGo WHERE station = @id AND @readings',
    // Bytes 2 to 5 of a block are its checksum.
    `SELECT group_concat(startAt || ' ' || layout || ' ' || bytes || ' ' || told, ';') FROM
     (SELECT startAt, layout, length(body) AS bytes, hex(substr(body, 2, 4)) AS told FROM rb
      WHERE station = @id AND stepMs = 60000 AND startAt < @wholeMs ORDER BY startAt)`,
    'SELECT sum(count) FROM blk WHERE station = @id AND fromAt >= @wholeMs AND fromAt < @atMs',
    'SELECT sum(count) FROM tail WHERE station = @id AND fromAt < @atMs',
  ].map(ask);
  return (station, { date, atMs, nowMs, readings }) => {
    const id = stationId.get(station);
    if (id === undefined || lasting.get({ id, date, atMs })! > 0) return null;
    const wholeMs = Math.floor(atMs / DAY_MS) * DAY_MS;
    const hash = createHash('sha256');
    for (const part of parts)
      hash
        .update(JSON.stringify(part.all({ id, date, atMs, nowMs, wholeMs, readings: readings ? 1 : 0 })))
        .update('\n');
    return hash.digest('base64url');
  };
}
