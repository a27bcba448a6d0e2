import { execFileSync } from 'node:child_process';
import { closeSync, openSync, rmSync, writeFileSync, writeSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { describe, expect, onTestFinished, test } from 'vitest';
import type { Batch } from '#messages';
import { openRecord, openRecordSoon } from '../../agent/store/open.ts';
import { withoutSurvivors } from '../../agent/store/survivors.ts';
import { startChild } from '../support/child.ts';
import { expectWholeRecord, seededRandom } from '../support/kill-rounds.ts';
import { needs } from '../support/needs.ts';
import { needsRoot, readOnlyView, smallDisk } from '../support/needs-root.ts';
import { batch, dayDelta, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const random = seededRandom(7);

/** Readings that hardly compress, so that a small disk is full soon. */
function noise(from: number, count: number): Batch {
  const readings = Array.from({ length: count }, (_, i) =>
    reading(from + i, {
      inputPowerW: Math.round(random() * 200_000) / 10,
      outputPowerW: Math.round(random() * 200_000) / 10,
      batteryVoltageV: Math.round(random() * 100_000) / 100,
    }),
  );
  return batch(readings, { days: [dayDelta({ solarMilliJ: count })] });
}

/** Writes until nothing more fits. */
function fillUp(path: string): void {
  const file = openSync(path, 'w');
  try {
    for (;;) writeSync(file, Buffer.alloc(4096, 1));
  } catch (error) {
    expect(error).toMatchObject({ code: 'ENOSPC' });
  } finally {
    closeSync(file);
  }
}

describe('a full disk', () => {
  needsRoot(
    'is told in words, loses nothing that was saved, and saving goes on once there is room',
    () => {
      const disk = smallDisk('4m');
      let nowMs = START_AT;
      const record = openTestRecord(join(disk.dir, 'data'), { nowMs: () => nowMs });
      let saved = 0;
      let code: unknown;
      while (code === undefined && saved < 1_000_000) {
        nowMs += 10_000;
        try {
          record.commit(noise(saved + 1, 200));
          saved += 200;
        } catch (error) {
          code = (error as { code: string }).code;
        }
      }
      expect(code).toBe('DISK_FULL');
      const lastSavedAt = START_AT + saved * 1000;
      const since = nowMs;
      expect(record.savedState()).toMatchObject({ lastSavedAt, trouble: 'DISK_FULL', troubleSinceAt: since });
      expect(record.latest('shed')!.seq).toBe(saved);
      expect(record.days('shed', '', '9')[0]!.solarMilliJ).toBe(saved);
      nowMs += 10_000;
      expect(() => record.commit(noise(saved + 1, 400))).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
      expect(record.savedState()).toMatchObject({ troubleSinceAt: since });

      disk.grow('16m');
      record.commit(noise(saved + 1, 600));
      expect(record.savedState()).toMatchObject({ trouble: null, troubleSinceAt: null });
      expect(record.days('shed', '', '9')[0]!.solarMilliJ).toBe(saved + 600);
      expect([...record.readings('shed', 0, START_AT * 2)].length).toBe(saved + 600);
      expect(record.check()).toEqual([]);
    },
    60_000,
  );
});

describe('a disk that is full at the start', () => {
  needsRoot('is refused for writing, and what was recorded can be read', () => {
    const disk = smallDisk('2m');
    const dir = join(disk.dir, 'data');
    const record = openTestRecord(dir);
    record.commit(noise(1, 200));
    record.close();
    fillUp(join(disk.dir, 'filler'));
    const options = { nowMs: () => START_AT, commitIntervalMs: 10_000 };
    expect(() => openRecord(dir, options)).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
    const reader = openTestRecord(dir, { readOnly: true });
    expect(reader.latest('shed')!.seq).toBe(200);
    expect(reader.savedState()).toMatchObject({ trouble: 'DISK_FULL', troubleSinceAt: START_AT });
    reader.close();
    disk.grow('8m');
    expect(openTestRecord(dir).savedState().trouble).toBeNull();
  });
});

describe('a disk that is full at the start of an agent', () => {
  const START = { saved: 200, after: 100 };

  function started() {
    const disk = smallDisk('2m');
    const dir = join(disk.dir, 'data');
    const before = openTestRecord(dir);
    before.commit(noise(1, START.saved));
    before.close();
    fillUp(join(disk.dir, 'filler'));
    let nowMs = START_AT;
    const { record, waitsFor } = openRecordSoon(dir, { nowMs: () => nowMs, commitIntervalMs: 10_000 });
    onTestFinished(() => record.close());
    expect(waitsFor).toMatchObject({ code: 'DISK_FULL' });
    const wait = (ms: number) => {
      nowMs += ms;
    };
    return { disk, dir, record, wait };
  }

  needsRoot('shows what was recorded, says that nothing is saved, and saves once there is room', () => {
    const { disk, record, wait } = started();
    const pending = noise(START.saved + 1, START.after);
    expect(record.latest('shed')!.seq).toBe(START.saved);
    for (const ms of [1000, 10_000]) {
      wait(ms);
      expect(() => record.commit(pending)).toThrow(expect.objectContaining({ code: 'DISK_FULL' }));
      expect(record.savedState()).toMatchObject({ trouble: 'DISK_FULL', troubleSinceAt: START_AT });
    }
    disk.grow('32m');
    wait(10_000);
    record.commit(pending);
    expect(record.savedState()).toMatchObject({ trouble: null, troubleSinceAt: null });
    expect([...record.readings('shed', 0, 8e15)].map(({ seq }) => seq)).toEqual(
      Array.from({ length: START.saved + START.after }, (_, i) => i + 1),
    );
    expect(record.days('shed', '', '9')[0]!.solarMilliJ).toBe(START.saved + START.after);
    expect(record.check()).toEqual([]);
  });

  needsRoot('saves at its end what came, where there is room by then', () => {
    const { disk, dir, record } = started();
    disk.grow('32m');
    record.commit(noise(START.saved + 1, START.after), true);
    record.close();
    expect(openTestRecord(dir).latest('shed')!.seq).toBe(START.saved + START.after);
  });

  needsRoot('saves nothing over what another one has saved meanwhile', () => {
    const { disk, dir, record, wait } = started();
    disk.grow('32m');
    const other = openTestRecord(dir);
    other.commit(noise(START.saved + 1, START.after));
    wait(10_000);
    expect(() => record.commit(noise(START.saved + 1, 50))).toThrow(expect.objectContaining({ code: 'DATA_BUSY' }));
    other.close();
    wait(10_000);
    expect(() => record.commit(noise(START.saved + 1, 50))).toThrow(expect.objectContaining({ code: 'DATA_BUSY' }));
    expect([...openTestRecord(dir).readings('shed', 0, 8e15)]).toHaveLength(START.saved + START.after);
  });
});

describe('a read-only disk', () => {
  needsRoot('is refused for writing, and its record can still be read, which says that nothing is saved', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    record.commit(batch([reading(1, { inputPowerW: 1 })]));
    record.close();
    const view = join(readOnlyView(dirname(dir)), 'data');
    const options = { nowMs: () => START_AT, commitIntervalMs: 10_000 };
    expect(() => openRecord(view, options)).toThrow(expect.objectContaining({ code: 'DISK_READ_ONLY' }));
    const reader = openTestRecord(view, { readOnly: true });
    expect(reader.latest('shed')!.quantities).toEqual({ inputPowerW: 1 });
    expect(reader.savedState()).toMatchObject({ trouble: 'DISK_READ_ONLY', troubleSinceAt: START_AT });
  });
});

describe('a record that can only be read', () => {
  test('says that nothing is saved once there was something to save', () => {
    const dir = freshFolder();
    // Left open, as by an agent that was killed: a reader needs nothing from the disk.
    openTestRecord(dir).commit(batch([reading(1, { inputPowerW: 1 })]));
    const reader = openTestRecord(dir, { readOnly: true });
    expect(reader.savedState()).toMatchObject({ trouble: null, troubleSinceAt: null });
    expect(() => reader.commit(batch([reading(2, { inputPowerW: 1 })]))).toThrow(
      expect.objectContaining({ code: 'DISK_READ_ONLY' }),
    );
    expect(reader.savedState()).toMatchObject({ trouble: 'DISK_READ_ONLY', troubleSinceAt: START_AT });
  });
});

describe('a disk whose flushes fail', () => {
  needs('cc')(
    'stops the acknowledging until it works again, and nothing counts twice',
    async () => {
      const dir = freshFolder();
      const place = dirname(dir);
      const [shim, flag] = [join(place, 'failing-flush.so'), join(place, 'fail')];
      const source = fileURLToPath(new URL('children/failing-flush.c', import.meta.url));
      execFileSync('cc', ['-shared', '-fPIC', '-o', shim, source, '-ldl']);
      const env = { LD_PRELOAD: shim, FAIL_FLUSH: flag };
      const child = startChild('test/store/children/writer.ts', [dir, '1'], { env });
      const next = async () => JSON.parse((await child.line()) ?? child.stderr());
      const acknowledged: { session: string; seq: number }[] = [];
      for (let round = 0; round < 3; round++) {
        for (let line = 0; line < 25; line++) acknowledged.push(await next());
        writeFileSync(flag, '');
        let said = await next();
        for (; said.failed === undefined; said = await next()) acknowledged.push(said);
        expect(said).toMatchObject({ failed: 'DISK_READ_ONLY', trouble: 'DISK_READ_ONLY' });
        for (let line = 0; line < 5; line++) expect((await next()).failed).toBe('DISK_READ_ONLY');
        rmSync(flag);
        while (said.failed !== undefined) said = await next();
        acknowledged.push(said);
      }
      await child.kill();
      expectWholeRecord(dir, acknowledged);
    },
    60_000,
  );
});

describe('a batch of which nobody knows whether it was written', () => {
  const minute = (from: number) => Array.from({ length: 60 }, (_, i) => reading(from + i, { inputPowerW: i }));
  const day = (solarMilliJ: number, solarPeakW: number) =>
    dayDelta({ solarMilliJ, coveredMs: solarMilliJ, solarPeakW });
  const first = batch(minute(1), { days: [day(50, 9)] });
  /** The first and what came after it, their days added up, as a caller does who holds on to what failed. */
  const larger = batch([...minute(1), ...minute(61)], { days: [day(50 + 70, 9)] });
  const second = batch(minute(61), { days: [day(70, 4)] });

  test('is taken off a larger one that begins with it, so that the sum is the same', () => {
    const record = openTestRecord(freshFolder());
    record.commit(first);
    record.commit(withoutSurvivors(larger, first));
    const plain = openTestRecord(freshFolder());
    plain.commit(larger);
    expect(record.days('shed', '', '9')).toEqual(plain.days('shed', '', '9'));
    expect([...record.readings('shed', 0, START_AT * 2)]).toEqual([...plain.readings('shed', 0, START_AT * 2)]);
  });

  test('leaves a batch alone that does not begin with it', () => {
    expect(withoutSurvivors(second, first)).toBe(second);
  });

  test('leaves no totals of a station that has nothing new', () => {
    const { readings, days } = withoutSurvivors(first, first);
    expect([readings, days]).toEqual([[], []]);
  });
});
