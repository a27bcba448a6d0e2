/** A watch over one station that tells a reading a second, on a hand-moved clock; what pages would be told is kept. */
import { parse } from 'valibot';
import type { Quantities } from '#kit';
import { type LiveMessage, StationSettings } from '#messages';
import { foresightHere } from '../../agent/commands/run/foresight/engines.ts';
import type { Foresight } from '../../agent/commands/run/foresight/port.ts';
import { startWatch } from '../../agent/commands/run/watch.ts';
import type { StationReading, StationStatus } from '../../agent/stations/index.ts';
import { type HandClock, handClock } from './hand-clock.ts';
import { freshFolder, openTestRecord, START_AT } from './record.ts';
import { LIVE_SHED, silentLog } from './shed-live.ts';
import { manifest } from './station-stage.ts';

export const SECOND_MS = 1000;
const nothing = (): void => undefined;
export function watchedStation(commitIntervalMs: number, foresightOf?: (dir: string, hand: HandClock) => Foresight) {
  const hand = handClock(START_AT);
  const dir = freshFolder();
  const record = openTestRecord(dir, { nowMs: hand.now, commitIntervalMs });
  const reader = openTestRecord(dir, { readOnly: true });
  const published: { atMs: number; message: LiveMessage }[] = [];
  const settled: number[] = [];
  let tell: (reading: StationReading) => void = nothing;
  let say: (status: StationStatus) => void = nothing;
  let said: StationStatus | null = null;
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
    log: silentLog,
    foresight: foresightOf?.(dir, hand) ?? foresightHere(record, hand.now, () => Promise.resolve()),
    supervise(on) {
      tell = on.reading;
      say = on.status;
      return {
        set: nothing,
        statuses: () => (said === null ? [] : [said]),
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
  /** @param change of what it tells each second */
  const live = (seconds: number, change: Quantities = {}) => {
    for (let second = 0; second < seconds; second++) {
      hand.advance(SECOND_MS);
      seq++;
      tell({
        station: 'shed',
        session: 's1',
        seq,
        monoMs: hand.monoMs(),
        quantities: { inputPowerW: 100, outputPowerW: 40, stateOfChargePct: 50, ...change },
        states: {},
        quality: 'good',
        reasons: {},
      });
    }
  };
  const phase = (next: StationStatus['phase']) => {
    said = { ...LIVE_SHED, phase: next };
    say(said);
  };
  return { hand, record, reader, watch, published, settled, live, phase };
}
