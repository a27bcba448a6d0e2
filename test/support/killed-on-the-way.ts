/**
 * Work on a record that is killed before one of its calls to the disk, and again in what comes after: whatever the call,
 * the next start has the record as it was or as it is to be, never between.
 */
import { spawnSync } from 'node:child_process';
import { cpSync, existsSync, rmSync } from 'node:fs';
import { dirname, join } from 'node:path';
import Database from 'better-sqlite3';
import { expect } from 'vitest';
import { rescueRecord } from '../../agent/store/keep/rescue.ts';
import { restoreSnapshot } from '../../agent/store/keep/restore.ts';
import { openRecord } from '../../agent/store/open.ts';
import { bundle } from './child.ts';
import { destroy, rootOf } from './damage.ts';
import { shimIn } from './failing-calls.ts';
import { freshFolder, openTestRecord } from './record.ts';
import { DAY_MS, dayBatch, FIRST_DAY, folderOfDays, tended } from './sealed-days.ts';

export type Work = 'open' | 'tend' | 'older' | 'snapshot' | 'rescue';
const DAYS = 12;
/** Days are over and sealed; the oldest five may lose their raw readings. */
const NOW = FIRST_DAY + (DAYS + 1) * DAY_MS;

/** A record as each kind of work finds it. */
export function recordFor(work: Work): string {
  const dir = folderOfDays(DAYS);
  if (work === 'rescue') destroy(dir, [rootOf(dir, 'rb')]);
  if (work === 'older') tended(dir, NOW).close();
  if (work !== 'open') return dir;
  // Copied while it was open, as a power cut leaves it: its newest day lies in the log alone.
  const record = openTestRecord(dir);
  record.commit(dayBatch(DAYS));
  const cut = freshFolder();
  cpSync(dir, cut, { recursive: true });
  record.close();
  expect(existsSync(join(cut, 'record.db-wal'))).toBe(true);
  return cut;
}

/** Runs it in a process of its own that dies before call `at`; true where it came to its end before that. */
function runUntil(dir: string, work: Work, at: number, shim: string): boolean {
  const env = { ...process.env, LD_PRELOAD: shim, FAIL_NAME: dirname(dir), FAIL_AT: String(at), FAIL_WHAT: 'kill' };
  const { signal, status, stderr } = spawnSync(
    process.execPath,
    [bundle('test/store/children/doer.ts'), dir, work, String(NOW)],
    { env },
  );
  expect([signal, status, String(stderr)]).toEqual(signal === 'SIGKILL' ? ['SIGKILL', null, ''] : [null, 0, '']);
  return signal === null;
}

/** What must be the same whatever was killed: days, and quarter-hours that answer for raw and rolled-up readings alike. */
function essenceOf(dir: string, fromMs: number) {
  const record = openTestRecord(dir, { nowMs: () => NOW });
  expect(record.check()).toEqual([]);
  expect(record.checkSeals()).toEqual([]);
  const toMs = FIRST_DAY + (DAYS + 1) * DAY_MS;
  const { columns } = record.series({
    station: 'shed',
    quantities: ['inputPowerW'],
    fromMs,
    toMs,
    points: (toMs - fromMs) / 900_000,
  });
  const all = record.days('shed', '', '9').map(({ date, solarMilliJ }) => ({ date, solarMilliJ }));
  record.close();
  return { all, quarters: columns.inputPowerW!.mean };
}

/** Raw readings on record and let go, in all. */
function readingsIn(dir: string): number {
  const db = new Database(join(dir, 'record.db'), { readonly: true });
  const count = db
    .prepare<[], number>(
      `SELECT (SELECT coalesce(sum(count), 0) FROM blk) + (SELECT coalesce(sum(count), 0) FROM tail)
        + (SELECT coalesce(sum(readings), 0) FROM letGo)`,
    )
    .pluck()
    .get()!;
  db.close();
  return count;
}

/** A half-made snapshot has no name yet, or proves nothing; a whole one brings the record back. */
function expectProvenOrRefused(dir: string): void {
  const file = join(dir, 'snapshot');
  const restore = () => restoreSnapshot(dir, file, { atMs: NOW, program: '0.1.0' });
  if (existsSync(`${file}.json`)) restore();
  else expect(restore).toThrow(expect.objectContaining({ code: existsSync(file) ? 'SNAPSHOT_UNPROVEN' : 'USAGE' }));
  // What is left of one that was broken off is in nobody's way.
  if (existsSync(`${file}.json`)) for (const end of ['', '.json']) rmSync(`${file}${end}`);
}

/** @param calls which call to die before, one after the other; beyond the work's last one it ends. @returns how often it was killed */
export function killOnTheWay(work: Work, calls: Iterable<number>): number {
  const shim = shimIn(dirname(freshFolder()));
  const from = recordFor(work);
  const fromMs = FIRST_DAY - (work === 'older' ? 3 : 0) * DAY_MS;
  const copy = () => {
    const dir = freshFolder();
    cpSync(from, dir, { recursive: true });
    return dir;
  };
  const seen = (dir: string) => ({ ...essenceOf(dir, fromMs), count: readingsIn(dir) });
  const [untouched, done] = [copy(), copy()];
  expect(runUntil(done, work, 0, shim)).toBe(true);
  const after = seen(done);
  const before = work === 'rescue' ? after : seen(untouched);
  let kills = 0;
  for (const at of calls) {
    const dir = copy();
    if (runUntil(dir, work, at, shim)) return kills;
    kills++;
    if (work === 'snapshot') expectProvenOrRefused(dir);
    if (work === 'rescue') {
      // Killed once more where it begins anew, then left to its end.
      if (isDamaged(dir)) runUntil(dir, work, 1 + (at % 7), shim);
      if (isDamaged(dir)) rescueRecord(dir, ['shed'], NOW);
    }
    const found = seen(dir);
    expect([before, after], `${work} killed before call ${at}`).toContainEqual(found);
    // What was left undone can be done now.
    expect(work === 'rescue' || runUntil(dir, work, 0, shim)).toBe(true);
    const again = seen(dir);
    if (found.count === before.count && work !== 'snapshot') expect(again).toEqual(after);
  }
  return kills;
}

function isDamaged(dir: string): boolean {
  try {
    openRecord(dir, { nowMs: () => NOW, commitIntervalMs: 0 }).close();
    return false;
  } catch (error) {
    expect(error).toMatchObject({ code: 'RECORD_DAMAGED' });
    return true;
  }
}
