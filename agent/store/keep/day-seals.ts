/**
 * Seals of closed days: SHA-256 over a day's blocks, its minutes, its totals and what counters counted, as they were a day
 * after it ended. SQLite's own check notices few flipped bits; a seal notices all of them, and names the day. Seals of
 * days that a statement changed are gone by the schema's triggers and made anew; before that each block must pass its own
 * checksum.
 */
import { createHash } from 'node:crypto';
import { blockHolds } from '../codec/block.ts';
import type { Connection } from '../kept.ts';
import { schemaOf } from './contents.ts';

/** A day is sealed once it has been over for so long. */
const CLOSED_MS = 86_400_000;

interface DayRow {
  station: number;
  name: string;
  date: string;
  zone: string;
  startMs: number;
  endMs: number;
}

export interface BrokenDay {
  station: string;
  date: string;
}

export interface DaySeals {
  /** Seals at most so many closed days; gives how many, and those that hold a block which fails its checksum. */
  seal(nowMs: number, most: number): { sealed: number; broken: BrokenDay[] };
  /** Checks at most so many seals that were last checked before an instant, those longest ago first. */
  check(nowMs: number, before: number, most: number): { checked: number; broken: BrokenDay[] };
  /** Checks the seals of one station's days that reach into [fromMs, toMs]; gives those that do not match. */
  checkWithin(station: number, fromMs: number, toMs: number, nowMs: number): BrokenDay[];
  /** Days found broken so far, oldest first. */
  broken(): BrokenDay[];
}

const TOTALS = `SELECT solarMilliJ, inputMilliJ, outputMilliJ, coveredMs, gapMs, solarPeakW, stateOfChargeMinPct,
  stateOfChargeMaxPct FROM day WHERE station = ? AND date = ? AND zone = ?`;
const DAY_MS = 86_400_000;

const COUNTED = `SELECT quantity, countedMilliJ, comparedMilliJ, integratedMilliJ, flowMs, stretches, largestMilliJ,
  spreadWh2, lastMilliWh, lastAt, unchangedMs, stepMilliWh FROM counted
  WHERE station = ? AND date = ? AND zone = ? ORDER BY quantity`;
/** Of no day: they belong to the seal of the one they begin in. */
const BRIDGES = `SELECT quantity, fromAt, toAt, milliJ, cause, gapMs, fromMilliWh, toMilliWh, stepMilliWh FROM bridge
  WHERE station = ? AND fromAt >= ? AND fromAt < ? ORDER BY fromAt, quantity`;
const COUNTED_SINCE_SCHEMA = 8;

/** Before the digest of a seal that covers what counters counted; earlier ones are the bare digest. */
const WITH_COUNTED = Buffer.of(2);
const BARE_BYTES = 32;
const coversCounted = (seal: Buffer): boolean => seal.length > BARE_BYTES;

interface PieceRow {
  text: string;
  layout: string;
  body: Buffer;
}

interface Digested {
  digest: Buffer;
  /** Every block passes its own checksum. */
  holds: boolean;
}

/** The answer gives what counters counted of a day, a text each; none in a record that is older than them. */
function prepareCountedTexts(db: Connection): (day: DayRow) => string[] {
  if (schemaOf(db) < COUNTED_SINCE_SCHEMA) return () => [];
  const counted = db.prepare<[number, string, string], unknown[]>(COUNTED).raw();
  const bridges = db.prepare<[number, number, number], unknown[]>(BRIDGES).raw();
  return ({ station, date, zone, startMs, endMs }) => [
    ...counted.all(station, date, zone).map(row => `\ncounted ${JSON.stringify(row)}`),
    ...bridges.all(station, startMs, endMs).map(row => `\nbridge ${JSON.stringify(row)}`),
  ];
}

/** The answer reads a day and gives its seal, of all there is or of what earlier seals covered. */
function prepareDigest(db: Connection): (day: DayRow, withCounted: boolean) => Digested {
  const countedTexts = prepareCountedTexts(db);
  const totals = db.prepare<[number, string, string], object>(TOTALS);
  const rows = (table: 'blk' | 'tail') =>
    db.prepare<[number, number, number, number], PieceRow>(`SELECT fromAt || ' ' || toAt || ' ' || count AS text,
      layout.text AS layout, body FROM ${table} LEFT JOIN layout ON layout.id = ${table}.layout
      WHERE station = ? AND fromAt > ? AND fromAt < ? AND toAt >= ? ORDER BY fromAt, ${table}.id`);
  const [blocks, open] = [rows('blk'), rows('tail')];
  const minutes = db.prepare<[number, number, number], PieceRow>(`SELECT startAt || '' AS text, layout.text AS layout,
    body FROM rb LEFT JOIN layout ON layout.id = rb.layout
    WHERE station = ? AND stepMs = 60000 AND startAt > ? AND startAt < ? ORDER BY startAt`);
  return (day, withCounted) => {
    const { station, date, zone, startMs, endMs } = day;
    const hash = createHash('sha256');
    hash.update(JSON.stringify([date, zone, startMs, endMs, Object.values(totals.get(station, date, zone) ?? {})]));
    let holds = true;
    const add = (kind: string, pieces: readonly PieceRow[]) => {
      for (const { text, layout, body } of pieces) {
        hash.update(`\n${kind} ${text} ${layout} ${body.length}\n`).update(body);
        holds &&= blockHolds(body);
      }
    };
    // No block is longer than an hour, so none that began a day earlier reaches in.
    add('blk', blocks.all(station, startMs - DAY_MS, endMs, startMs));
    add('tail', open.all(station, startMs - DAY_MS, endMs, startMs));
    add('rb', minutes.all(station, startMs - DAY_MS, endMs));
    if (!withCounted) return { digest: hash.digest(), holds };
    for (const text of countedTexts(day)) hash.update(text);
    return { digest: Buffer.concat([WITH_COUNTED, hash.digest()]), holds };
  };
}

const OF_SEAL = `SELECT seal.station, station.name, date, zone, startMs, endMs, digest FROM seal
  JOIN station ON station.id = seal.station`;

const told = ({ name, date }: { name: string; date: string }): BrokenDay => ({ station: name, date });

/** For a record of the present schema that may be written to. Its calls are small transactions. */
export function openSeals(db: Connection): DaySeals {
  const digestOf = prepareDigest(db);
  const unsealed = db.prepare<[number, number], DayRow>(`SELECT day.station, station.name, date, zone, startMs, endMs
    FROM day JOIN station ON station.id = day.station WHERE endMs <= ? AND NOT EXISTS
    (SELECT 1 FROM seal WHERE seal.station = day.station AND seal.date = day.date AND seal.zone = day.zone)
    ORDER BY endMs LIMIT ?`);
  const put = db.prepare(`INSERT INTO seal (station, date, zone, startMs, endMs, digest, sealedAt, checkedAt, brokenAt)
    VALUES (@station, @date, @zone, @startMs, @endMs, @digest, @nowMs, @nowMs, @brokenAt)`);
  const due = db.prepare<[number, number], DayRow & { digest: Buffer }>(
    `${OF_SEAL} WHERE checkedAt < ? ORDER BY checkedAt, startMs LIMIT ?`,
  );
  const within = db.prepare<[number, number, number], DayRow & { digest: Buffer }>(
    `${OF_SEAL} WHERE seal.station = ? AND startMs <= ? AND endMs > ?`,
  );
  const mark = db.prepare(`UPDATE seal SET checkedAt = @nowMs, brokenAt = @brokenAt, digest = @digest
    WHERE station = @station AND date = @date AND zone = @zone`);
  const broken = db.prepare<[], { name: string; date: string }>(`SELECT station.name, date FROM seal
    JOIN station ON station.id = seal.station WHERE brokenAt IS NOT NULL ORDER BY startMs, station.name`);

  const checkAll = (days: readonly (DayRow & { digest: Buffer })[], nowMs: number): BrokenDay[] =>
    days
      .filter(day => {
        const { station, date, zone } = day;
        const found = digestOf(day, coversCounted(day.digest));
        const matches = found.holds && found.digest.equals(day.digest);
        // An earlier seal that matches covers all from now on.
        const digest = matches && !coversCounted(day.digest) ? digestOf(day, true).digest : day.digest;
        mark.run({ station, date, zone, nowMs, brokenAt: matches ? null : nowMs, digest });
        return !matches;
      })
      .map(told);

  return {
    seal: (nowMs, most) =>
      db
        .transaction(() => {
          const days = unsealed.all(nowMs - CLOSED_MS, most);
          const bad = days.filter(day => {
            const { digest, holds } = digestOf(day, true);
            put.run({ ...day, digest, nowMs, brokenAt: holds ? null : nowMs });
            return !holds;
          });
          return { sealed: days.length, broken: bad.map(told) };
        })
        .immediate(),
    check: (nowMs, before, most) =>
      db
        .transaction(() => {
          const days = due.all(before, most);
          return { checked: days.length, broken: checkAll(days, nowMs) };
        })
        .immediate(),
    checkWithin: (station, fromMs, toMs, nowMs) => checkAll(within.all(station, toMs, fromMs), nowMs),
    broken: () => broken.all().map(told),
  };
}

const SINCE_SCHEMA = 5;

/** Checks every seal of a record that may only be read, writing nothing. A record older than seals has none. */
export function checkEverySeal(db: Connection): BrokenDay[] {
  if (schemaOf(db) < SINCE_SCHEMA) return [];
  const digestOf = prepareDigest(db);
  const days = db.prepare<[], DayRow & { digest: Buffer }>(`${OF_SEAL} ORDER BY startMs, station.name`).all();
  return days
    .filter(day => {
      const { digest, holds } = digestOf(day, coversCounted(day.digest));
      return !holds || !digest.equals(day.digest);
    })
    .map(told);
}
