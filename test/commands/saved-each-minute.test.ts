import { parse } from 'valibot';
import { expect, test } from 'vitest';
import type { LiveMessage } from '#messages';
import { StationSettings } from '#messages';
import { startWatch } from '../../agent/commands/run/watch.ts';
import type { StationReading } from '../../agent/stations/index.ts';
import { handClock } from '../support/hand-clock.ts';
import { freshFolder, openTestRecord, START_AT } from '../support/record.ts';
import { manifest } from '../support/station-stage.ts';

const SECOND_MS = 1000;
const nothing = (): void => undefined;

/** A watch over one station that tells a reading a second, on a hand-moved clock. */
function watched(commitIntervalMs: number) {
  const hand = handClock(START_AT);
  const dir = freshFolder();
  const record = openTestRecord(dir, { nowMs: hand.now, commitIntervalMs });
  const reader = openTestRecord(dir, { readOnly: true });
  const published: { atMs: number; message: LiveMessage }[] = [];
  const settled: number[] = [];
  let tell: (reading: StationReading) => void = nothing;
  const silent = { error: nothing, warn: nothing, info: nothing, debug: nothing, dropped: () => 0, close: nothing };
  const watch = startWatch({
    record,
    demo: false,
    stations: [parse(StationSettings, { id: 'shed', name: 'Shed', ratedWh: 1000, transport: { kind: 'typed' } })],
    tariff: undefined,
    commitIntervalMs,
    machineZone: 'UTC',
    manifests: () => [manifest()],
    clock: { nowMs: hand.now, monoMs: hand.monoMs },
    timers: { after: hand.after },
    log: silent,
    supervise(on) {
      tell = on.reading;
      return {
        set: nothing,
        statuses: () => [],
        retryNow: () => true,
        rest: () => true,
        typed: () => true,
        close: () => Promise.resolve(),
      };
    },
    plan: station => ({ kind: 'typed', id: station.id, gives: [] }) as never,
    publish: message => void published.push({ atMs: hand.now(), message }),
    newId: () => 'id',
    onAlarms: nothing,
    onSettled: (_, intervalMs) => void settled.push(intervalMs),
    aims: () => false,
    carry: undefined,
  });
  let seq = 0;
  const live = (seconds: number) => {
    for (let second = 0; second < seconds; second++) {
      hand.advance(SECOND_MS);
      seq++;
      tell({
        station: 'shed',
        session: 's1',
        seq,
        monoMs: hand.monoMs(),
        quantities: { inputPowerW: 100, outputPowerW: 40, stateOfChargePct: 50 },
        states: {},
        quality: 'good',
        reasons: {},
      });
    }
  };
  return { hand, record, reader, watch, published, settled, live };
}

test('saved every 60 s, each reading is live at once, what is unsaved is told, and a minute at most is at stake', async () => {
  const { hand, record, reader, watch, published, settled, live } = watched(60_000);
  live(59);
  const readings = published.filter(({ message }) => message.type === 'reading');
  expect(readings.map(({ atMs }) => (atMs - START_AT) / SECOND_MS)).toEqual(
    Array.from({ length: 59 }, (_, i) => i + 1),
  );
  expect(reader.latest('shed')).toBeNull();
  expect(record.savedState()).toMatchObject({ lastSavedAt: null, commitIntervalMs: 60_000 });
  live(121);
  expect(settled.slice(-3)).toEqual([60_000, 60_000, 60_000]);
  const savedAt = reader.latest('shed')!.at;
  expect(record.savedState().lastSavedAt).toBe(savedAt);
  expect(hand.now() - savedAt).toBeLessThanOrEqual(60_000);
  expect([...reader.readings('shed', 0, START_AT * 2)]).toHaveLength((savedAt - START_AT) / SECOND_MS);
  // A minute's day totals come with its readings, never before.
  expect(reader.days('shed', '', '9')[0]!.coveredMs).toBe(savedAt - START_AT - SECOND_MS);
  live(30);
  await watch.close();
  expect(reader.latest('shed')!.at).toBe(hand.now());
});
