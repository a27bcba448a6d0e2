/** What an upgrade may leave behind: the old schema or the new one, each with all that was recorded. */
import { spawnSync } from 'node:child_process';
import { copyFileSync, mkdirSync } from 'node:fs';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { expect } from 'vitest';
import { MIGRATIONS } from '../../agent/store/migrations/index.ts';
import { bundle } from './child.ts';
import { GOLDEN_READINGS, goldenFolder } from './golden-record.ts';
import { freshFolder, openTestRecord, START_AT } from './record.ts';

export const NEWEST = MIGRATIONS.length;

/** The schema of the file as it is now, without bringing it up. */
export function schemaIn(dir: string): number {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const version = Number(db.pragma('user_version', { simple: true }));
  const tables = db.prepare<[], string>('SELECT name FROM sqlite_schema ORDER BY name').pluck().all();
  db.close();
  expect(tables).toEqual(objectsAt(version));
  return version;
}

function objectsAt(version: number): string[] {
  const db = new Database(':memory:');
  for (const { sql } of MIGRATIONS.slice(0, version)) db.exec(sql);
  const names = db.prepare<[], string>('SELECT name FROM sqlite_schema ORDER BY name').pluck().all();
  db.close();
  return names;
}

/** Brought up by an ordinary start, everything is there. */
export function expectAllThere(dir: string, from: number): void {
  const record = openTestRecord(dir);
  expect(record.check()).toEqual([]);
  expect([...record.readings('shed', 0, START_AT * 2)]).toEqual(GOLDEN_READINGS);
  expect(record.days('shed', '', '9')).toMatchObject([{ solarMilliJ: 70, inputMilliJ: 80, outputMilliJ: 90 }]);
  expect(record.cursor('shed')).toMatchObject({ session: 's1', seq: 200 });
  expect(record.outages('shed', 0, START_AT * 2)).toMatchObject([{ startPct: 80, endPct: 79, lowestPct: null }]);
  expect(record.spans('shed', 0, START_AT * 2)).toMatchObject([{ note: 'to Ida' }]);
  expect(record.facts('shed')).toMatchObject([{ valueJson: '15' }]);
  expect(record.learned('shed')).toBe(from >= 2 ? '{"a":1}' : null);
  expect(record.spots('shed')).toHaveLength(from >= 4 ? 1 : 0);
  expect(record.marks('shed', 0)).toHaveLength(from >= 4 ? 1 : 0);
  expect(record.notes('shed', '', '9')).toHaveLength(from >= 6 ? 1 : 0);
  expect(record.evidence('shed')).toHaveLength(from >= 7 ? 1 : 0);
  expect(record.counted('shed', '', '9').map(day => day.countedMilliJ)).toEqual(from >= 8 ? [83] : []);
  expect(record.bridges('shed', 0, START_AT * 2)).toHaveLength(from >= 8 ? 1 : 0);
  expect(record.counterEnds('shed').map(end => end.lastMilliWh)).toEqual(from >= 8 ? [412_000] : []);
  const series = record.series({
    station: 'shed',
    quantities: ['inputPowerW'],
    fromMs: START_AT,
    toMs: START_AT + 4 * 3_600_000,
    points: 20,
  });
  expect(series.columns.inputPowerW!.mean.filter(value => value !== null).length).toBeGreaterThan(10);
  record.close();
  expect(schemaIn(dir)).toBe(NEWEST);
}

/** Kills an upgrade of schema `from` before each statement, every `step`th of them; gives how many it died before. */
export function killBeforeStatements(from: number, step: number): number {
  const golden = goldenFolder(from);
  let kills = 0;
  for (let statement = 1; ; statement += step) {
    const dir = freshFolder();
    mkdirSync(dir);
    copyFileSync(join(golden, 'record.db'), join(dir, 'record.db'));
    const program = bundle('test/store/children/migrator.ts');
    const { signal, status, stderr } = spawnSync(process.execPath, [
      program,
      join(dir, 'record.db'),
      String(statement),
    ]);
    expect([signal, status, String(stderr)]).toEqual(signal === 'SIGKILL' ? ['SIGKILL', null, ''] : [null, 0, '']);
    expect([from, NEWEST]).toContain(schemaIn(dir));
    expectAllThere(dir, from);
    if (signal === null) return kills;
    kills++;
  }
}
