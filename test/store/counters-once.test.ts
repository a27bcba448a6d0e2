/**
 * What a station's own counters say is kept with the readings it came from: whatever is killed, lost, replayed or put
 * again, days and blocks together are what the counters gained.
 */
import fc from 'fast-check';
import { expect, test } from 'vitest';
import type { Quantities, Reading } from '#kit';
import type { Batch } from '#messages';
import { createPending, enter } from '../../agent/commands/run/pending.ts';
import { createFollower } from '../../agent/derive/follow.ts';
import { difference } from '../../agent/store/keep/manifest.ts';
import { rescueRecord } from '../../agent/store/keep/rescue.ts';
import { planRestore } from '../../agent/store/keep/restore.ts';
import { snapshotRecord } from '../../agent/store/keep/snapshot-record.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { withoutSurvivors } from '../../agent/store/survivors.ts';
import { destroy, rootOf } from '../support/damage.ts';
import { freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';
import { stationFacts } from '../support/station-facts.ts';

const FACTS = stationFacts({ intervalMs: 5000, solarMaxW: 500 });
const MILLIJ_PER_MILLI_WH = 3600;
const STATIONS = ['shed', 'barn'] as const;

/** Two stations that count, and an agent that is killed and started again. */
function createLife(dir: string) {
  let record = openTestRecord(dir);
  let [ms, session, seq] = [0, 0, 0];
  const wh: Record<string, number> = { shed: 100, barn: 70_000 };
  const pending = createPending();
  const follower = (station: string) =>
    createFollower(
      { ...FACTS },
      {
        at: record.latest(station)?.at ?? null,
        latest: null,
        openOutage: null,
        counters: record.counterEnds(station),
      },
    );
  let followers = new Map(STATIONS.map(one => [one, follower(one)]));
  return {
    get record() {
      return record;
    },
    pass(byMs: number, watts: number) {
      ms += byMs;
      for (const station of STATIONS) wh[station] = wh[station]! + (watts * byMs) / 3_600_000;
    },
    read(station: (typeof STATIONS)[number], watts: number) {
      const counts =
        station === 'shed'
          ? { solarEnergyWh: Math.floor(wh.shed! * 10) / 10 }
          : { outputEnergyWh: Math.floor(wh.barn!) };
      const quantities = { solarPowerW: watts, inputPowerW: watts, outputPowerW: watts, ...counts } as Quantities;
      const where = { station, session: `${station}${session}`, at: START_AT + ms, monoMs: ms };
      seq++;
      enter(pending, followers.get(station)!.add(reading(seq, quantities, where)), 'sun');
    },
    batch: () => pending.batch(),
    commit(batch: Batch | null) {
      if (batch !== null) record.commit(batch);
      pending.saved();
    },
    kill() {
      pending.saved();
      record.close();
      record = openTestRecord(dir);
      [session, seq] = [session + 1, 0];
      followers = new Map(STATIONS.map(one => [one, follower(one)]));
    },
  };
}

/** What the recorded values gained, and what days and blocks say of it; mJ. */
function expectCountedOnce(record: OpenedRecord): void {
  for (const [station, quantity] of [
    ['shed', 'solarEnergyWh'],
    ['barn', 'outputEnergyWh'],
  ] as const) {
    const values = [...record.readings(station, 0, 8e15)].map((r: Reading) =>
      Math.round(r.quantities[quantity]! * 1000),
    );
    const days = record.counted(station, '', '9');
    const blocks = record.bridges(station, 0, 8e15);
    expect(days.every(day => day.quantity === quantity)).toBe(true);
    const told =
      days.reduce((sum, day) => sum + day.countedMilliJ, 0) + blocks.reduce((sum, { milliJ }) => sum + milliJ!, 0);
    expect(told).toBe(values.length === 0 ? 0 : (values.at(-1)! - values[0]!) * MILLIJ_PER_MILLI_WH);
    if (values.length > 0)
      expect(record.counterEnds(station)).toMatchObject([{ quantity, lastMilliWh: values.at(-1) }]);
  }
}

const step = fc.record({
  ms: fc.oneof(fc.integer({ min: 1000, max: 9000 }), fc.integer({ min: 60_000, max: 20 * 3_600_000 })),
  watts: fc.integer({ min: 0, max: 400 }),
  both: fc.boolean(),
  next: fc.constantFrom('go on', 'go on', 'go on', 'commit', 'commit', 'replay', 'kill', 'uncertain'),
});

test('counters are counted once, whatever is killed and replayed, for two stations beside each other', () => {
  fc.assert(
    fc.property(fc.array(step, { minLength: 3, maxLength: 40 }), steps => {
      const life = createLife(freshFolder());
      let last: Batch | null = null;
      for (const { ms, watts, both, next } of steps) {
        life.pass(ms, watts);
        life.read('shed', watts);
        if (both) life.read('barn', watts);
        if (next === 'kill') life.kill();
        if (next === 'replay' && last !== null) life.record.commit(last);
        if (next === 'commit') {
          last = life.batch();
          life.commit(last);
        }
        if (next === 'uncertain') {
          // The disk took it and said that it did not: it is offered again with what came since.
          const survived = structuredClone(life.batch()!);
          life.record.commit(survived);
          life.pass(5000, watts);
          life.read('shed', watts);
          last = withoutSurvivors(life.batch()!, survived);
          life.commit(last);
        }
      }
      life.commit(life.batch());
      expectCountedOnce(life.record);
      life.record.close();
    }),
    { numRuns: 25 },
  );
}, 60_000);

test('what counters said is refused without the readings it came from', () => {
  const life = createLife(freshFolder());
  life.read('shed', 100);
  const batch = life.batch()!;
  expect(() => life.record.commit({ ...batch, readings: [], days: [] })).toThrow(/came without its readings/);
  life.commit(batch);
  expectCountedOnce(life.record);
});

test('a snapshot proves them, and a copy that says otherwise is refused', () => {
  const dir = freshFolder();
  const life = createLife(dir);
  for (const pause of [5000, 5000, 3_600_000, 5000]) {
    life.read('shed', 100);
    life.pass(pause, 100);
  }
  life.commit(life.batch());
  const file = `${dir}-copy.db`;
  const made = { atMs: START_AT, program: '0.1.0' };
  const manifest = snapshotRecord(dir, file, made);
  expect(manifest.stations).toMatchObject([{ countedMilliJ: 0.2 * 3_600_000, bridgedMilliJ: 100 * 3_600_000 }]);
  life.pass(7_200_000, 100);
  life.read('shed', 100);
  life.commit(life.batch());
  life.record.close();
  expect(planRestore(dir, file).present!.stations).toMatchObject([{ bridgedMilliJ: 300.2 * 3_600_000 }]);
  expect(difference(manifest, { ...manifest, stations: [{ ...manifest.stations[0]!, bridgedMilliJ: 1 }] })).toBe(
    'shed: other totals',
  );
});

test('a rescue keeps them, and where they are lost themselves the next reading begins anew and counts nothing twice', () => {
  const recorded = () => {
    const dir = freshFolder();
    const life = createLife(dir);
    for (const pause of [5000, 3_600_000, 5000]) {
      life.read('shed', 100);
      life.pass(pause, 100);
    }
    life.commit(life.batch());
    const told = [life.record.counted('shed', '', '9'), life.record.bridges('shed', 0, 8e15)] as const;
    life.record.close();
    return { dir, told };
  };
  const elsewhere = recorded();
  destroy(elsewhere.dir, [rootOf(elsewhere.dir, 'outage')]);
  rescueRecord(elsewhere.dir, ['shed'], START_AT);
  const record = openTestRecord(elsewhere.dir);
  expect([record.counted('shed', '', '9'), record.bridges('shed', 0, 8e15)]).toEqual(elsewhere.told);

  const theirs = recorded();
  destroy(theirs.dir, [rootOf(theirs.dir, 'counted')]);
  rescueRecord(theirs.dir, ['shed'], START_AT);
  const life = createLife(theirs.dir);
  expect(life.record.counterEnds('shed')).toEqual([]);
  expect(life.record.bridges('shed', 0, 8e15)).toEqual(theirs.told[1]);
  life.kill();
  life.pass(8_000_000, 100);
  life.read('shed', 100);
  life.commit(life.batch());
  expect(life.record.counted('shed', '', '9')).toMatchObject([{ countedMilliJ: 0 }]);
});
