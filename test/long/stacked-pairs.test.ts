/**
 * Faults in pairs, on the whole agent: the second begins while the first lasts. Whatever the pair, what was acknowledged
 * is on record once, its totals are those of its readings, and with both faults over saving goes on.
 */
import { describe, expect } from 'vitest';
import { gapLimitMs } from '#energy/integrate';
import type { Reading } from '#kit';
import { bleBattery } from '../../protocol-adapters/ble-battery/index.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';
import { GOLDEN_READINGS } from '../support/golden-record.ts';
import { hasNoble } from '../support/needs-noble.ts';
import { needsRoot } from '../support/needs-root.ts';
import { openTestRecord } from '../support/record.ts';
import { diskOf, FAULTS, type Fault, sourceOf } from '../support/stacked-faults.ts';
import { FIRST_W, STATION, type Stage, stackedStage } from '../support/stacked-stage.ts';

const FIRST = ['killed', 'full', 'readOnly', 'noFlush', 'upgrade', 'snapshot', 'clock', 'asleep'] as const;
const SECOND = ['killed', 'full', 'unplugged', 'dropping', 'adapter'] as const;
type Pair = `${(typeof FIRST)[number]}, ${(typeof SECOND)[number]}`;

const LEFT_OUT: Partial<Record<Pair, string>> = {
  'full, full': 'it is one fault; full again after there was room: test/faults/full-disk',
  'readOnly, full': 'what takes no writes cannot be filled',
  'upgrade, adapter': 'no adapter runs before the record is open',
};

const sumOf = <T>(all: readonly T[], of: (one: T) => number): number => all.reduce((sum, one) => sum + of(one), 0);

/** What days must have counted, from the readings alone: pairs of a session, by the clock that nobody sets. */
function countedFrom(readings: readonly Reading[], intervalMs: number) {
  const counted = { inputMilliJ: 0, outputMilliJ: 0, coveredMs: 0 };
  for (const [i, now] of readings.entries()) {
    const before = readings[i - 1];
    if (before === undefined || before.session !== now.session) continue;
    const ranMs = now.monoMs - before.monoMs;
    if (ranMs > gapLimitMs(intervalMs)) continue;
    const mean = (of: 'inputPowerW' | 'outputPowerW') => {
      const [p0, p1] = [before.quantities[of], now.quantities[of]];
      return p0 == null || p1 == null ? null : (p0 + p1) / 2;
    };
    const [inW, outW] = [mean('inputPowerW'), mean('outputPowerW')];
    counted.inputMilliJ += Math.round((inW ?? 0) * ranMs);
    counted.outputMilliJ += Math.round((outW ?? 0) * ranMs);
    if (inW !== null && outW !== null) counted.coveredMs += Math.min(ranMs, now.at - before.at);
  }
  return counted;
}

function expectTrueRecord(stage: Stage, { golden, intervalMs }: { golden: boolean; intervalMs: number }): void {
  const record = openTestRecord(stage.record);
  expect(record.check()).toEqual([]);
  expect(record.checkSeals()).toEqual([]);
  const all = [...record.readings(STATION, 0, 8e15)];
  const older = golden ? GOLDEN_READINGS : [];
  expect(all.slice(0, older.length)).toEqual(older);
  const kept = all.slice(older.length);

  const byName = new Map(all.map(reading => [`${reading.session} ${reading.seq}`, reading]));
  expect(byName.size).toBe(all.length);
  const lost = [...stage.acknowledged].filter(({ session, seq }) => !byName.has(`${session} ${seq}`));
  expect(lost).toEqual([]);
  expect(stage.acknowledged.size).toBeGreaterThan(5);
  for (const { session, seq, quantities } of stage.told)
    expect(byName.get(`${session} ${seq}`)?.quantities ?? quantities).toMatchObject(quantities);
  for (const [i, { at, quantities }] of kept.entries()) {
    if (i > 0) expect(at).toBeGreaterThanOrEqual(kept[i - 1]!.at);
    const [before, watts] = [kept[i - 1]?.quantities.inputPowerW ?? FIRST_W - 1, quantities.inputPowerW];
    if (intervalMs === lines.manifest.intervalMs) expect(watts).toBeGreaterThan(before);
  }

  const days = record.days(STATION, '', '9');
  const total = (of: 'inputMilliJ' | 'outputMilliJ' | 'coveredMs' | 'gapMs') => sumOf(days, day => day[of]);
  const was = golden
    ? { inputMilliJ: 80, outputMilliJ: 90, coveredMs: 11_940_000 }
    : { inputMilliJ: 0, outputMilliJ: 0, coveredMs: 0 };
  const counted = countedFrom(kept, intervalMs);
  expect({
    inputMilliJ: total('inputMilliJ') - was.inputMilliJ,
    outputMilliJ: total('outputMilliJ') - was.outputMilliJ,
    coveredMs: total('coveredMs') - was.coveredMs,
  }).toEqual(counted);
  expect(total('coveredMs') + total('gapMs')).toBe(all.at(-1)!.at - all[0]!.at);
  record.close();
}

async function runPair(stage: Stage, first: Fault, second: Fault): Promise<void> {
  const golden = first.prepare !== undefined;
  first.prepare?.(stage);
  if (!golden) {
    await stage.start();
    await stage.goesOn();
  }
  await first.begin?.(stage);
  await first.told?.(stage);
  await second.begin?.(stage);
  await first.goesOn?.(stage);
  await stage.start();
  await second.goesOn?.(stage);
  if (stage.isUp()) {
    await first.told?.(stage);
    await second.told?.(stage);
  }
  await second.end?.(stage);
  await stage.start();
  await first.end?.(stage);
  await stage.start();
  // Only a disk that takes nothing keeps one from starting.
  for (const why of stage.refusals) expect(why).toMatch(/\[DISK_(FULL|READ_ONLY)\]/);
  await stage.goesOn();
  expect(await stage.end('SIGTERM')).toBe(0);
}

describe.each(FIRST)('while fault "%s" lasts', name => {
  for (const other of SECOND) {
    const [first, second]: [Fault, Fault] = [FAULTS[name], FAULTS[other]];
    if (LEFT_OUT[`${name}, ${other}`] !== undefined) continue;
    needsRoot(`${first.says} and ${second.says}: nothing is lost, and saving goes on`, async ({ skip }) => {
      if (other === 'dropping' && !hasNoble) return skip('the package @abandonware/noble is not installed');
      const disk = diskOf(first);
      if (disk === null) return skip('this kernel offers no trigger_fs_error: run it on a Linux with ext4 built in');
      const stage = await stackedStage(await sourceOf(second), disk.dir);
      await runPair(stage, first, second);
      const { intervalMs } = (other === 'dropping' ? bleBattery : lines).manifest;
      expectTrueRecord(stage, { golden: first.prepare !== undefined, intervalMs });
    });
  }
});
