/**
 * A year of two stations as their readings and promises would tell it, in steps of 40 s: seasons, clouds, short nights of
 * low charge, a cable that is loose for days, flickering faults, a disk that fills up, a clock that steps. All of it is
 * worked out from the instant, so that every run is the same; one reading in eight is where it flickers.
 */
import type { AlarmKind } from '#messages';
import { type Alarms, createAlarms } from '../../agent/alarms/alarms.ts';
import { type AgentSeen, lookAround, type StationSeen } from '../../agent/alarms/conditions.ts';
import { shedProjection, shedReading, shedStatus } from './honey-shed.ts';

const STEP_MS = 40_000;
const MINUTE = 60_000;
const HOUR = 3_600_000;
const DAY = 86_400_000;
const START_AT = Date.UTC(2026, 0, 1);
const PORTS = [{ name: null, maxV: 60 }];

/** A number from 0 to 1 that looks like chance (a multiplicative hash, Knuth). */
const noise = (n: number, salt: number): number => {
  let x = Math.imul(n + 1, 2_654_435_761) ^ Math.imul(salt + 7, 40_503);
  x = Math.imul(x ^ (x >>> 15), 2_246_822_507);
  return ((x ^ (x >>> 13)) >>> 0) / 2 ** 32;
};
const LIVE = shedStatus({ staleAfterMs: 5_000 });
const GONE = shedStatus({ phase: 'retrying', staleAfterMs: 5_000 });

function householdYear() {
  const lastAt = [START_AT, START_AT];
  const projection = shedProjection();
  const readings = [shedReading(), shedReading()];

  function station(i: number, at: number, stands: Alarms['stands']): StationSeen {
    const id = i === 0 ? 'shed' : 'barn';
    const day = Math.floor((at - START_AT) / DAY);
    const hour = ((at - START_AT) % DAY) / HOUR;
    const tick = Math.floor((at - START_AT) / STEP_MS);
    const winter = Math.cos((2 * Math.PI * (day - 15)) / 365);
    // A loose cable: some days it drops out for minutes, now and then for hours.
    const drops = noise(day, 1 + i) < 0.07 && noise(Math.floor(tick / 6), 2 + i) < 0.2;
    const hours = noise(day, 3 + i) < 0.03 && hour > 13 && hour < 17;
    const gone = drops || hours;
    if (!gone) lastAt[i] = at;
    const lit = hour > 8 + winter && hour < 16.5 - winter;
    const clouds = noise(Math.floor(tick / 3), 4);
    const inputPowerW = lit ? 300 * clouds * (1 - 0.5 * winter) : 0;
    // One stands in a shed, the other in a house and with a panel less in series.
    const indoors = i === 1;
    const batteryTempC =
      (indoors ? 22 : 12) - 13 * winter + 5 * Math.sin((2 * Math.PI * (hour - 9)) / 24) + 6 * (noise(day, 5) - 0.5);
    // Cold and clear mornings bring the volts up to the limit.
    const volts = lit ? (indoors ? 38 : 52) + 4.6 * winter + 2 * noise(day, 6) - 1.5 * clouds : 0;
    const faulty = day % 50 === 25 && !indoors && hour > 18 && hour < 20 && tick % 8 < 5;
    const reading = readings[i]!;
    Object.assign(reading, {
      quantities: { inputPowerW, outputPowerW: 41, batteryTempC, solarVoltageV: volts },
      states: faulty ? { fault: 'overload' } : {},
    });
    // Some nights of the dark half come down to the floor, with a promise that breathes on the way.
    const short = i === 0 && winter > 0.2 && noise(day, 8) < 0.35;
    const leftMin = short ? (30 - hour) * 60 + 8 * Math.sin(tick / 5) : 900;
    const bottomMin = short && hour < 7 ? (6 - hour) * 60 + 8 * Math.sin(tick / 5) : leftMin;
    const quietSince = noise(day, 9 + i) < 0.03 && hour > 10 && hour < 15 ? START_AT + day * DAY : null;
    return {
      id,
      status: gone ? GONE : LIVE,
      projection: {
        ...projection,
        why: gone ? 'stale' : 'ok',
        emptyAt: { p10: new Date(at + bottomMin * MINUTE).toISOString(), p50: null, p90: null },
        quiet: quietSince === null ? [] : [{ name: null, powerW: 95, sinceAt: new Date(quietSince).toISOString() }],
      },
      reading,
      ageMs: at - lastAt[i]!,
      ports: PORTS,
      before: null,
      alarmed: stands(id),
      ending: stands(id, 'ending'),
      outletsOnMs: Number.POSITIVE_INFINITY,
    };
  }

  return {
    at(at: number, stands: Alarms['stands']): { stations: StationSeen[]; agent: AgentSeen } {
      const day = Math.floor((at - START_AT) / DAY);
      const hour = ((at - START_AT) % DAY) / HOUR;
      const tick = Math.floor((at - START_AT) / STEP_MS);
      return {
        stations: [station(0, at, stands), station(1, at, stands)],
        agent: {
          clockOffMs: null,
          unsaved: day % 90 === 60 && hour > 3 && hour < 9 ? 'DISK_FULL' : null,
          // Stepped for one reading now and then; twice a year it is wrong for hours.
          clock: day % 180 === 100 && hour < 4 ? 'unknown' : tick % 5000 === 0 ? 'stepped' : 'synced',
        },
      };
    },
  };
}

export interface Called {
  at: number;
  kind: AlarmKind;
  key: string;
}

/** Lives through every nth day; nobody acknowledges anything. */
export function replayYear(everyNthDay: number): { called: Called[]; longest: number; days: number } {
  let n = 0;
  let days = 0;
  let longest = 0;
  const alarms = createAlarms(() => `a${++n}`, 0);
  const year = householdYear();
  const called: Called[] = [];
  for (let day = 0; day < 365; day += everyNthDay, days++)
    for (let at = START_AT + day * DAY; at < START_AT + (day + 1) * DAY; at += STEP_MS) {
      const { stations, agent } = year.at(at, alarms.stands);
      const turn = alarms.see(lookAround(stations, agent, at), { at, monoMs: at - START_AT });
      for (const { kind, station } of turn.called) called.push({ at, kind, key: `${kind} ${station}` });
      if (turn.changed) longest = Math.max(longest, alarms.list().length);
    }
  return { called, longest, days };
}

/** How calm it was: calls a day, most in ten minutes, most of one alarm in a minute. */
export function calmOf(called: readonly Called[], days: number) {
  const most = (instants: readonly number[], withinMs: number) =>
    Math.max(0, ...instants.map((at, i) => instants.slice(i).filter(other => other - at < withinMs).length));
  const of = (key: string) => called.flatMap(one => (one.key === key ? [one.at] : []));
  const keys = [...new Set(called.map(({ key }) => key))];
  console.log(`${days} days: ${called.length} calls; ${keys.map(key => `${key} ${of(key).length}`).join(', ')}`);
  return {
    perDay: called.length / days,
    inTenMinutes: most(
      called.map(({ at }) => at),
      600_000,
    ),
    sameInAMinute: Math.max(0, ...keys.map(key => most(of(key), 60_000))),
  };
}
