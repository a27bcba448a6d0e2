/** Aiming over a real record: readings as a test lives them, a clock in its hand, and a disk that can be full. */
import * as v from 'valibot';
import { WattkeepError } from '#kit';
import { type LiveMessage, StationSettings, WireAim } from '#messages';
import { createAims } from '../../agent/commands/run/aiming/aims.ts';
import { aimDoor } from '../../agent/commands/run/aiming/door.ts';
import type { SaidByOwner } from '../../agent/commands/run/pending.ts';
import { factsOf } from '../../agent/commands/run/station-facts.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from './record.ts';

/** A station with three panels on a southern summer's morning. */
export const stationSettings = (more: object = {}): StationSettings =>
  v.parse(StationSettings, {
    id: 'shed',
    name: 'Honey shed',
    transport: { kind: 'typed' },
    inputSource: 'sun',
    panel: [{ name: 'Folding panels', ratedW: 90, count: 3, tiltDeg: 26, azimuthDeg: 180, powerPctPerK: -0.36 }],
    place: { latitudeDeg: 45.5, longitudeDeg: 9 },
    zone: 'UTC',
    ...more,
  });

export function stageAims(dir = freshFolder(), startAt = START_AT) {
  const record = openTestRecord(dir);
  const clock = { at: startAt, nowMs: () => clock.at, monoMs: () => clock.at };
  const told: LiveMessage[] = [];
  const carried: string[] = [];
  const stands: string[] = [];
  const disk = { full: false };
  const looking = new Set(['shed']);
  const keep = (said: SaidByOwner) => {
    if (disk.full) throw new WattkeepError('DISK_FULL', 'The disk is full; nothing was saved.', 'Free some space.');
    record.commit(batch([], said));
  };
  const aims = createAims({
    record,
    clock,
    keep,
    gives: () => ['solarPowerW', 'stateOfChargePct'],
    listens: station => looking.has(station),
    publish: message => void told.push(message),
    carry: spot => void carried.push(spot),
    onStanding: station => void stands.push(station),
  });
  const seat = (...stations: StationSettings[]) =>
    aims.seat(stations.map(settings => ({ settings, facts: factsOf(settings, 1000, 'UTC') })));
  seat(stationSettings());
  const timers = {
    after(delayMs: number, run: () => void) {
      const timer = setTimeout(run, delayMs);
      return () => clearTimeout(timer);
    },
  };
  /** Lives through seconds at these watts, a little ripple on them. */
  const live = (seconds: number, watts: number, station = 'shed', more: object = {}) => {
    for (let s = 0; s < seconds; s++) {
      clock.at += 1000;
      const solarPowerW = Math.max(0, watts + Math.round(Math.sin(clock.at / 2311) * 8) / 10);
      const quantities = { solarPowerW, inputPowerW: solarPowerW, stateOfChargePct: 50 };
      aims.add(reading(1, quantities, { station, at: clock.at, ...more }));
    }
  };
  return {
    record,
    dir,
    clock,
    aims,
    door: aimDoor(aims, { record, clock, timers, carries: true }),
    told,
    carried,
    stands,
    disk,
    looking,
    seat,
    live,
    /** Carried about for a while, set down where it gives so much, and held there. */
    carryTo(watts: number, seconds = 60) {
      live(3, 60);
      live(8, 12);
      live(seconds, watts);
    },
    /** What a page is told now. */
    aim(station = 'shed'): WireAim {
      const message = aims.current(station);
      if (message?.type !== 'aim') throw new Error('nothing is told');
      return v.parse(WireAim, message.aim);
    },
  };
}
