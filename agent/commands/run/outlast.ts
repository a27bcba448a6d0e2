/** Outlast of one station, asked of its engine and put into the message the page reads. */
import { civilDayOf } from '#energy/civil-day';
import { beliefIn } from '#energy/estimates/gauge-belief';
import { SURE } from '#energy/estimates/outlast/chances';
import type { SteadyDots } from '#energy/estimates/outlast/steady-dots';
import type { OutlastAnswer } from '#messages';
import type { StationFacts } from '../../derive/facts.ts';
import {
  asking,
  type LoadOutlook,
  type OutlastNow,
  type OutlastQuestion,
  type OutlastStation,
  outlastNow,
} from '../../derive/outlast.ts';
import { outlastTogether } from '../../derive/outlast-together.ts';
import type { OutlookKeeper } from '../../derive/outlook.ts';
import { toInstant } from '../../server/encode.ts';
import type { OutlastOrder } from './foresight/port.ts';

const MINUTE_MS = 60_000;
const DAYS = 7;

/** What stands behind one station. */
export interface OutlastSeat {
  readonly id: string;
  facts: StationFacts;
  readonly outlook: OutlookKeeper;
  /** As the newest reading told it, the record's last one included. */
  seen: Pick<OutlastStation, 'onMains' | 'typed' | 'outletsOff'>;
  readonly steady: SteadyDots;
}

const stationOf = ({ outlook, facts, seen, steady }: OutlastSeat): OutlastStation => ({
  engine: outlook.engine(),
  facts: outlook.runtimeFacts(),
  named: facts.named ?? [],
  steady,
  ...seen,
});

/**
 * @param other the station that is taken as one reserve with it
 * @param pause gives way to whatever else waits
 */
export async function answerOutlast(
  mine: OutlastSeat,
  other: OutlastSeat | null,
  order: OutlastOrder,
  pause: () => Promise<void>,
): Promise<OutlastAnswer> {
  const { asked, atMs: at, silent } = order;
  const { facts } = mine;
  const station = stationOf(mine);
  const days = daysFrom(at, facts.zone);
  const question: OutlastQuestion = {
    at,
    untilAt: asked.untilAt,
    floorPct: asked.floorPct ?? facts.floorPct,
    dayEndsAt: days.map(day => day.endMs),
    skies: days.map((_, i) => asked.skies[i] ?? null),
    sourceW: asked.sourceW,
  };
  const ready = asking(station, question);
  const now = await outlastNow(ready, station, question, pause);
  const together =
    other === null || silent
      ? null
      : await outlastTogether(ready, stationOf(other), other.facts.floorPct, question, now, pause);
  const told = silent ? silenced(now) : now;
  return {
    station: mine.id,
    madeAt: toInstant(at),
    untilAt: toInstant(asked.untilAt),
    floorPct: question.floorPct,
    why: silent ? 'stale' : now.outlook.why,
    early: now.outlook.early,
    onMains: station.onMains,
    doubts: [...now.outlook.doubts],
    stateOfChargePct: now.stateOfChargePct,
    ...chancesTold(told, at),
    likely: told.likely,
    skyFrom: station.facts.clearWm2 === null ? null : facts.place === null ? 'usualDay' : 'place',
    recordedMin: now.recordedMin,
    loads: told.loads.map(load => loadTold(load)),
    own: ownTold(station),
    steps: told.steps.map(({ loads, chances }) => ({
      names: loads.map(l => l.named?.name ?? null),
      powersW: loads.map(l => l.load.powerW),
      chances,
    })),
    budget: told.chances === null ? null : { chances: SURE, powerW: told.budgetW },
    added: told.added,
    days: told.days.map((day, i) => ({ ...day, date: days[i]!.date, sky: question.skies[i]! })),
    tomorrow: tomorrowTold(told, station),
    together:
      together === null || order.other === null
        ? null
        : {
            station: order.other.id,
            name: order.other.name,
            here: together.here,
            there: together.there,
            both: together.both,
            move:
              together.move === null
                ? null
                : {
                    name: together.move.load.named?.name ?? null,
                    powerW: together.move.load.load.powerW,
                    both: together.move.both,
                  },
          },
    score: station.engine.score(),
  };
}

/** Today and the days after it. */
function daysFrom(at: number, zone: string) {
  const days = [civilDayOf(at, zone)];
  while (days.length < DAYS) days.push(civilDayOf(days.at(-1)!.endMs, zone));
  return days;
}

/** Of a station that is not being read nothing is promised; what was seen plugged in stays. */
const silenced = (now: OutlastNow): OutlastNow => ({
  ...now,
  dots: [],
  chances: null,
  lowest: null,
  stopsMin: null,
  loads: now.loads.map(load => ({ ...load, without: null, half: null })),
  steps: [],
  likely: null,
  budgetW: null,
  added: [],
  days: [],
  tomorrow: [],
});

function chancesTold({ chances, dots, lowest, stopsMin }: OutlastNow, at: number) {
  const ahead = (minutes: number | null) =>
    minutes === null || !Number.isFinite(minutes) ? null : toInstant(Math.round(at + minutes * MINUTE_MS));
  return {
    chances,
    dots: dots.map(ahead),
    stopsAt: ahead(stopsMin),
    lowest:
      lowest === null ? null : { pct: lowest.pct, at: toInstant(Math.round(at + lowest.minutesAhead * MINUTE_MS)) },
  };
}

const loadTold = ({ load, named, without, half, quietMin }: LoadOutlook): OutlastAnswer['loads'][number] => ({
  kind: load.kind,
  name: named?.name ?? null,
  mustStayOn: named?.mustStayOn ?? false,
  powerW: load.powerW,
  meanW: load.meanW,
  duty: load.duty,
  cycleMin: load.cycleMin,
  on: load.on,
  sinceAt: toInstant(load.firstMinute * MINUTE_MS),
  lastAt: toInstant(load.lastMinute * MINUTE_MS),
  without,
  half,
  quietMin,
});

/** Fewer ticks than this have taught nothing yet. */
const LEARNED_TICKS = 3;

function ownTold({ engine, outletsOff }: OutlastStation): OutlastAnswer['own'] {
  if (engine.gauge.place() === null) return null;
  const { mean, covariance, ticks } = engine.gauge.belief();
  const memory = engine.gauge.memory();
  const off = beliefIn(memory, 'off', memory.ticksOff);
  return {
    powerW: mean[1],
    sdW: Math.sqrt(covariance[4]!),
    ticks,
    outletsOff,
    offW: off.ticks >= LEARNED_TICKS ? off.mean[1] : null,
  };
}

function tomorrowTold({ tomorrow }: OutlastNow, { facts }: OutlastStation): OutlastAnswer['tomorrow'] {
  const of = (sky: 'good' | 'poor') => {
    const found = tomorrow.find(t => t.sky === sky);
    return found === undefined ? null : { sunWh: found.sunWh, chances: found.chances };
  };
  const missing =
    facts.clearWm2 === null ? 'place' : tomorrow.length === 0 && facts.panelsRatedW === null ? 'panels' : null;
  return { missing, good: of('good'), poor: of('poor') };
}
