/**
 * What a record holds, in numbers that a copy of it can be held against: readings, days and totals of each station, the
 * last sequence of every session (as a digest) and the cursor. Of any schema; energies mJ, instants UTC epoch ms.
 */
import { createHash } from 'node:crypto';
import { lastAtOf, lastSeqOf } from '../ends.ts';
import type { Connection } from '../kept.ts';

export interface StationContents {
  name: string;
  readings: number;
  /** Readings of which only minutes are left; absent from manifests of earlier versions. */
  letGo?: number;
  /** null before the first reading. */
  firstAt: number | null;
  lastAt: number | null;
  sessions: number;
  /** SHA-256 over the names of all sessions with their last sequence. */
  sessionsDigest: string;
  cursor: { session: string; seq: number; at: number } | null;
  days: number;
  solarMilliJ: number;
  inputMilliJ: number;
  outputMilliJ: number;
  coveredMs: number;
  gapMs: number;
  /** What its own counters counted on days and in blocks over gaps; absent where the schema knows neither. */
  countedMilliJ?: number;
  bridgedMilliJ?: number;
}

export interface Contents {
  schema: number;
  simulated: boolean;
  stations: StationContents[];
}

export const schemaOf = (db: Connection): number => Number(db.pragma('user_version', { simple: true }));

const RETENTION_SINCE_SCHEMA = 7;

const SUMS = `SELECT count(*) AS days, total(solarMilliJ) AS solarMilliJ, total(inputMilliJ) AS inputMilliJ,
  total(outputMilliJ) AS outputMilliJ, total(coveredMs) AS coveredMs, total(gapMs) AS gapMs FROM day WHERE station = ?`;

const COUNTED = `SELECT (SELECT total(countedMilliJ) FROM counted WHERE station = @id) AS countedMilliJ,
  (SELECT total(milliJ) FROM bridge WHERE station = @id) AS bridgedMilliJ`;
const COUNTED_SINCE_SCHEMA = 8;

type CountedSums = Required<Pick<StationContents, 'countedMilliJ' | 'bridgedMilliJ'>>;
type Sums = Pick<StationContents, 'days' | 'solarMilliJ' | 'inputMilliJ' | 'outputMilliJ' | 'coveredMs' | 'gapMs'>;
type Cursor = NonNullable<StationContents['cursor']>;

/** Reads the tables of numbers, not the blocks. Throws what SQLite says. */
export function contentsOf(db: Connection): Contents {
  const stations = db.prepare<[], { id: number; name: string; firstAt: number | null; lastAt: number | null }>(
    `SELECT id, name, firstAt, ${lastAtOf} AS lastAt FROM station ORDER BY name`,
  );
  const readings = db
    .prepare<[number, number], number>(
      'SELECT (SELECT total(count) FROM blk WHERE station = ?) + (SELECT total(count) FROM tail WHERE station = ?)',
    )
    .pluck();
  const letGo =
    schemaOf(db) < RETENTION_SINCE_SCHEMA
      ? null
      : db.prepare<[number], number>('SELECT readings FROM letGo WHERE station = ?').pluck();
  const sessions = db.prepare<[number], { name: string; lastSeq: number }>(
    `SELECT name, ${lastSeqOf(db)} AS lastSeq FROM session WHERE station = ? ORDER BY name`,
  );
  const cursor = db.prepare<[number], Cursor>('SELECT session, seq, at FROM cursor WHERE station = ?');
  const sums = db.prepare<[number], Sums>(SUMS);
  const counted = schemaOf(db) < COUNTED_SINCE_SCHEMA ? null : db.prepare<[{ id: number }], CountedSums>(COUNTED);
  const kind = db.prepare<[], string>("SELECT value FROM meta WHERE key = 'kind'").pluck();
  // In one transaction: beside an agent that writes they belong together.
  return db.transaction(() => ({
    schema: schemaOf(db),
    simulated: kind.get() === 'demo',
    stations: stations.all().map(({ id, ...station }): StationContents => {
      const all = sessions.all(id);
      const digest = createHash('sha256').update(all.map(s => `${s.name}\t${s.lastSeq}\n`).join(''));
      return {
        ...station,
        readings: readings.get(id, id) ?? 0,
        letGo: letGo?.get(id) ?? 0,
        sessions: all.length,
        sessionsDigest: digest.digest('hex'),
        cursor: cursor.get(id) ?? null,
        ...sums.get(id)!,
        ...counted?.get({ id }),
      };
    }),
  }))();
}
