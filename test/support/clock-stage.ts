/**
 * The agent's watch over a real record on a computer whose clocks a test sets: the wall clock may be moved, and the
 * monotonic one stands while the computer sleeps (Linux) or runs on (other systems).
 */
import type { Reading } from '#kit';
import { foresightHere } from '../../agent/commands/run/foresight/engines.ts';
import { startWatch, type Watch } from '../../agent/commands/run/watch.ts';
import type { StationReading } from '../../agent/stations/index.ts';
import { stationSettings } from './aim-stage.ts';
import { handClock } from './hand-clock.ts';
import { freshFolder, openTestRecord } from './record.ts';
import { LIVE_SHED, silentLog } from './shed-live.ts';
import { manifest } from './station-stage.ts';

export async function stageClock({
  startAt,
  zone = 'UTC',
  everyMs = 1000,
}: {
  startAt: number;
  zone?: string;
  everyMs?: number;
}) {
  const dir = freshFolder();
  const hand = handClock(0);
  let [wrongMs, stoodMs, bornMs, session, seq] = [0, 0, 0, 0, 0];
  const trueMs = () => startAt + hand.monoMs();
  const clock = { nowMs: () => Math.round(trueMs() + wrongMs), monoMs: () => hand.monoMs() - stoodMs - bornMs };
  const calls: string[] = [];
  let hear: (reading: StationReading) => void;
  let watch: Watch;
  const start = () => {
    bornMs = hand.monoMs() - stoodMs;
    session++;
    const record = openTestRecord(dir, { nowMs: clock.nowMs });
    watch = startWatch({
      record,
      foresight: foresightHere(record, clock.nowMs, () => Promise.resolve()),
      demo: false,
      stations: [
        stationSettings({ adapter: 'lines', transport: { kind: 'tcp', host: 'shed.example', port: 4000 }, zone }),
      ],
      tariff: undefined,
      commitIntervalMs: 60 * everyMs,
      projectEveryMs: 86_400_000,
      machineZone: zone,
      manifests: () => [manifest({ intervalMs: everyMs })],
      clock,
      timers: { after: (delayMs, run) => hand.after(Math.max(everyMs, delayMs), run) },
      log: silentLog,
      supervise(on) {
        hear = on.reading;
        queueMicrotask(() => on.status({ ...LIVE_SHED, staleAfterMs: 5 * everyMs }));
        return {
          set: () => undefined,
          statuses: () => [],
          retryNow: () => true,
          rest: () => true,
          typed: () => false,
          close: async () => undefined,
        };
      },
      plan: ({ id }) => ({ kind: 'typed', id }),
      publish: () => undefined,
      newId: () => `id ${calls.length}`,
      onAlarms: ({ called }) => void calls.push(...called.map(({ kind }) => kind)),
      onSettled: () => undefined,
      aims: () => false,
      carry: undefined,
    });
  };
  start();
  await null;
  return {
    clock,
    calls,
    clockState: () => watch.clockState(),
    /** Reads 100 W in and 40 W out for so long. */
    live(forMs: number) {
      for (let ms = 0; ms < forMs; ms += everyMs) {
        hand.advance(everyMs);
        const quantities: Reading['quantities'] = { inputPowerW: 100, outputPowerW: 40, stateOfChargePct: 60 };
        const reading = { session: `s${session}`, seq: ++seq, monoMs: clock.monoMs(), quantities };
        hear({ station: 'shed', ...reading, states: {}, quality: 'good', reasons: {} });
      }
    },
    /** Moves the wall clock, as its owner or a time server does. */
    set: (byMs: number) => {
      wrongMs += byMs;
    },
    /** @param monotonic whether that clock runs on meanwhile */
    sleep(forMs: number, monotonic: boolean) {
      hand.skip(forMs);
      if (!monotonic) stoodMs += forMs;
    },
    reconnect(afterMs: number) {
      hand.advance(afterMs);
      session++;
      seq = 0;
    },
    async restart(afterMs: number) {
      await watch.close();
      hand.advance(afterMs);
      seq = 0;
      start();
      await null;
    },
    /** All readings' instants and the days, after what is pending was saved. */
    async end() {
      await watch.close();
      const record = openTestRecord(dir, { readOnly: true });
      const readings = [...record.readings('shed', 0, 8e15)];
      const days = record.days('shed', '', '9');
      const sum = (of: 'coveredMs' | 'gapMs' | 'inputMilliJ') => days.reduce((total, day) => total + day[of], 0);
      const totals = { coveredMs: sum('coveredMs'), gapMs: sum('gapMs'), inputMilliJ: sum('inputMilliJ') };
      record.close();
      return { instants: readings.map(({ at }) => at), clocks: readings.map(r => r.clock), days, ...totals };
    },
  };
}
