/**
 * A record as a released schema left it, with something in every table it had: made by the migrations of that time and
 * filled by plain statements, so that no newer code has touched it.
 */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import type { Reading } from '#kit';
import { columnsOf } from '../../agent/store/codec/columns.ts';
import { EMPTY_LAYOUT, extendLayout } from '../../agent/store/codec/layout.ts';
import { MIGRATIONS } from '../../agent/store/migrations/index.ts';
import { addRows, emptyBuckets, LEVELS } from '../../agent/store/rollup.ts';
import { bucketsOfFormatOne, readingsOfFormatOne } from './format-one.ts';
import { freshFolder, reading, START_AT } from './record.ts';

const HOUR_MS = 3_600_000;

/** Three sealed hours and an open one, a reading a minute. */
export const GOLDEN_READINGS: readonly Reading[] = Array.from({ length: 200 }, (_, i) =>
  reading(i + 1, { inputPowerW: (i * 7) % 90, stateOfChargePct: i % 101 }, { at: START_AT + (i + 1) * 60_000 }),
);

function fillBlocks(db: Database.Database): void {
  const layout = extendLayout(EMPTY_LAYOUT, ['inputPowerW', 'stateOfChargePct']);
  db.prepare('INSERT INTO layout (id, text) VALUES (1, ?)').run(layout.text);
  const [firstAt, lastAt] = [GOLDEN_READINGS[0]!.at, GOLDEN_READINGS.at(-1)!.at];
  db.prepare("INSERT INTO station (id, name, layout, firstAt, lastAt) VALUES (1, 'shed', 1, ?, ?)").run(
    firstAt,
    lastAt,
  );
  db.prepare("INSERT INTO session (station, name, lastSeq, firstAt, lastAt) VALUES (1, 's1', 200, ?, ?)").run(
    firstAt,
    lastAt,
  );
  const hours = hoursOf();
  const sealed = hours.slice(0, -1);
  for (const [table, parts] of [
    ['blk', sealed],
    ['tail', hours.slice(-1)],
  ] as const)
    for (const part of parts)
      db.prepare(`INSERT INTO ${table} (station, layout, fromAt, toAt, count, body) VALUES (1, 1, ?, ?, ?, ?)`).run(
        part[0]!.at,
        part.at(-1)!.at,
        part.length,
        readingsOfFormatOne(part, layout),
      );
  for (const level of LEVELS) {
    const startAt = Math.floor(START_AT / level.spanMs) * level.spanMs;
    const buckets = emptyBuckets(layout.channels.length, level.spanMs / level.stepMs);
    addRows(buckets, level.stepMs, startAt, columnsOf(sealed.flat(), layout));
    db.prepare('INSERT INTO rb (station, stepMs, startAt, layout, body) VALUES (1, ?, ?, 1, ?)').run(
      level.stepMs,
      startAt,
      bucketsOfFormatOne(buckets, layout),
    );
  }
}

function hoursOf(): Reading[][] {
  const hours = new Map<number, Reading[]>();
  for (const one of GOLDEN_READINGS) {
    const hour = Math.floor(one.at / HOUR_MS);
    hours.set(hour, [...(hours.get(hour) ?? []), one]);
  }
  return [...hours.values()];
}

/** Fills a database of schema `version`. */
export function fillGolden(db: Database.Database, version: number): void {
  db.exec("INSERT INTO meta (key, value) VALUES ('kind', 'real')");
  fillBlocks(db);
  db.exec(`
    INSERT INTO day (station, date, zone, startMs, endMs, solarMilliJ, inputMilliJ, outputMilliJ, coveredMs, gapMs,
      solarPeakW, stateOfChargeMinPct, stateOfChargeMaxPct)
      VALUES (1, '2026-06-03', 'UTC', ${Date.UTC(2026, 5, 3)}, ${Date.UTC(2026, 5, 4)}, 70, 80, 90, 11940000, 0, 89, 0, 100);
    INSERT INTO cursor (station, session, seq, at, inputSource) VALUES (1, 's1', 200, ${START_AT + 200 * 60_000}, 'sun');
    INSERT INTO outage (station, startedAt, endedAt, startPct, endPct, outputMilliJ)
      VALUES (1, ${START_AT}, ${START_AT + 5000}, 80, 79, 4);
    INSERT INTO span (station, reason, fromMs, toMs, note) VALUES (1, 'lent', ${START_AT - 9000}, ${START_AT}, 'to Ida');
    INSERT INTO fact (station, key, validFromMs, valueJson) VALUES (1, 'reserveFloorPct', ${START_AT}, '15');
  `);
  if (version >= 2) db.exec(`INSERT INTO learned (station, valueJson) VALUES (1, '{"a":1}')`);
  if (version >= 4)
    db.exec(`
    INSERT INTO spot (station, spot, name, note, removedAt) VALUES (1, 'p1', 'Hives', '', NULL);
    INSERT INTO mark (station, mark, walk, letter, at, movedAt, spot, note, meanW, errorW, seenJson)
      VALUES (1, 1, 1, 'A', ${START_AT}, ${START_AT}, 'p1', '', 50, 1, '{}');
  `);
  if (version >= 6)
    db.exec(`
    INSERT INTO note (station, note, date, at, text, writtenAt, takenBackAt)
      VALUES (1, 1, '2026-06-03', NULL, 'The first swarm.', ${START_AT}, NULL);
  `);
  if (version >= 7)
    db.exec(`
    INSERT INTO evidence (station, why, fromMs, toMs, droppedAt) VALUES (1, 'trial 1', ${START_AT}, ${START_AT + 9000}, NULL);
    INSERT INTO letGo (station, beforeMs, readings) VALUES (1, ${START_AT - 9 * HOUR_MS}, 12);
  `);
  if (version >= 8)
    db.exec(`
    INSERT INTO counted (station, date, zone, quantity, startMs, endMs, countedMilliJ, comparedMilliJ, integratedMilliJ,
      flowMs, stretches, largestMilliJ, spreadWh2, lastMilliWh, lastAt, unchangedMs, stepMilliWh)
      VALUES (1, '2026-06-03', 'UTC', 'inputEnergyWh', ${Date.UTC(2026, 5, 3)}, ${Date.UTC(2026, 5, 4)}, 83, 80, 79,
        11940000, 1, 2, 0.5, 412000, ${START_AT + 200 * 60_000}, 0, 100);
    INSERT INTO bridge (station, quantity, fromAt, toAt, milliJ, cause, gapMs, fromMilliWh, toMilliWh, stepMilliWh)
      VALUES (1, 'inputEnergyWh', ${START_AT - 9 * HOUR_MS}, ${START_AT}, 7, 'counted', ${9 * HOUR_MS}, 411000, 411900, 100);
  `);
  if (version >= 9) db.exec("UPDATE tail SET id = station * 4294967296 + id, session = 's1', lastSeq = 200");
  if (version >= 10)
    db.exec(`
    INSERT INTO trial (station, trial, kind, startedAt, endedAt, optionsJson, askedJson, conditionsJson, stepsJson,
      typedJson, simulated, version, judgementJson, judgedBy, removedAt)
      VALUES (1, 'shed-usable-260603-abcde', 'usable', ${START_AT}, NULL, '{"kind":"usable"}', '{}', '{}', '[]', '[]', 0,
        '1.0.0', NULL, NULL, NULL);
  `);
}

/** A data folder whose record is of that schema. */
export function goldenFolder(version: number): string {
  const dir = freshFolder();
  mkdirSync(dir, { mode: 0o700 });
  const db = new Database(join(dir, 'record.db'));
  db.pragma('journal_mode = WAL');
  for (const migration of MIGRATIONS.slice(0, version)) db.exec(migration.sql);
  db.pragma(`user_version = ${version}`);
  fillGolden(db, version);
  db.close();
  return dir;
}
