/**
 * The runtime engines of all stations of one record, in the process that asks: fed with readings, their past taken from the
 * record, their answers plain JSON. Instants epoch ms.
 */
import { createSteadyDots } from '#energy/estimates/outlast/steady-dots';
import type { RuntimeMemory } from '#energy/estimates/runtime/engine';
import type { OutlastAnswer, RecordQueries } from '#messages';
import type { StationFacts } from '../../../derive/facts.ts';
import { type Ahead, createOutlook } from '../../../derive/outlook.ts';
import type { Told } from '../../../derive/told.ts';
import { learnedFrom } from '../learned.ts';
import { answerOutlast, type OutlastSeat } from '../outlast.ts';
import { type PlanKnown, planKnown } from './plan-known.ts';
import type { Foresight, OutlastOrder } from './port.ts';
import { recallMinutes } from './recalled.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
/** Days of record before the last that the engine looks back on, and how finely. */
const EARLIER_DAYS = 7;
const EARLIER_STEP_MS = 15 * MINUTE_MS;
/** The drawing looks no further ahead than this, ms. */
const DRAWN_AHEAD_MS = 48 * 3_600_000;

export type RecordPast = Pick<RecordQueries, 'series' | 'latest' | 'learned'>;

/** All but `seat` do nothing, or answer null, for a station that has no seat. */
export interface Engines {
  /** @param past null where the record cannot be read: it begins with what comes */
  seat(station: string, facts: StationFacts, past: RecordPast | null, nowMs: number): void;
  leave(station: string): void;
  setFacts(station: string, facts: StationFacts): void;
  add(station: string, told: Told): void;
  ahead(station: string, atMs: number): Ahead | null;
  /** @param pause gives way to whatever else waits */
  outlast(order: OutlastOrder, pause: () => Promise<void>): Promise<OutlastAnswer> | null;
  planKnown(station: string, atMs: number): PlanKnown | null;
  learned(station: string): RuntimeMemory | null;
}

export function createEngines(): Engines {
  const seats = new Map<string, OutlastSeat>();
  return {
    seat(station, facts, past, nowMs) {
      const outlook = createOutlook(facts, past === null ? null : learnedFrom(past.learned(station), nowMs));
      if (past !== null) {
        const recall = (span: { fromMs: number; toMs: number; stepMs: number }) =>
          recallMinutes(past, station, span, (at, minute) => outlook.recall(at, minute.outputW, minute.solarW));
        const dayAgoMs = nowMs - DAY_MS;
        recall({ fromMs: dayAgoMs - EARLIER_DAYS * DAY_MS, toMs: dayAgoMs, stepMs: EARLIER_STEP_MS });
        recall({ fromMs: dayAgoMs, toMs: nowMs, stepMs: MINUTE_MS });
      }
      const latest = past?.latest(station) ?? null;
      const seen = {
        onMains: latest?.states.onMains === true,
        typed: latest?.typed === true,
        outletsOff: latest?.states.acOutletsOn === false,
      };
      seats.set(station, { id: station, facts, outlook, seen, steady: createSteadyDots() });
    },
    leave: station => void seats.delete(station),
    setFacts(station, facts) {
      const seat = seats.get(station);
      if (seat === undefined) return;
      seat.facts = facts;
      seat.outlook.setFacts(facts);
    },
    add(station, told) {
      const seat = seats.get(station);
      if (seat === undefined) return;
      seat.seen = { onMains: told.onMains, typed: told.typed, outletsOff: told.acOutletsOn === false };
      seat.outlook.add(told);
    },
    ahead(station, atMs) {
      const seat = seats.get(station);
      return seat === undefined ? null : asDrawn(seat.outlook.ahead(atMs));
    },
    outlast(order, pause) {
      const mine = seats.get(order.station);
      if (mine === undefined) return null;
      return answerOutlast(mine, order.other === null ? null : (seats.get(order.other.id) ?? null), order, pause);
    },
    planKnown(station, atMs) {
      const seat = seats.get(station);
      return seat === undefined ? null : planKnown(seat, atMs);
    },
    learned(station) {
      const seat = seats.get(station);
      return seat === undefined ? null : seat.outlook.memory();
    },
  };
}

/** The fan is drawn, not computed with: a tenth of a percent is finer than a pixel. */
function asDrawn(ahead: Ahead): Ahead {
  if (ahead.fan === null) return ahead;
  const { stepMs, columns } = ahead.fan;
  const drawn = (column: number[]) =>
    column.slice(0, DRAWN_AHEAD_MS / stepMs + 1).map(pct => Math.round(pct * 10) / 10);
  return { ...ahead, fan: { stepMs, columns: columns.map(drawn) } };
}

/** The port to engines in this process, over a record that is open here: each answer comes before the call returns. */
export function foresightHere(record: RecordPast, nowMs: () => number, pause: () => Promise<void>): Foresight {
  const engines = createEngines();
  const told = <T>(answer: T | null, take: (answer: T) => void) => {
    if (answer !== null) take(answer);
  };
  return {
    ...engines,
    seat: (station, facts) => engines.seat(station, facts, record, nowMs()),
    ahead: (station, atMs, take) => told(engines.ahead(station, atMs), take),
    learned: (station, take) => told(engines.learned(station), memory => take(JSON.stringify(memory))),
    outlast: order => engines.outlast(order, pause) ?? noSeat(order.station),
    planKnown: async (station, atMs) => engines.planKnown(station, atMs) ?? noSeat(station),
    settled: () => Promise.resolve(),
    close: async () => undefined,
  };
}

const noSeat = (station: string): Promise<never> => Promise.reject(new Error(`${station} has no seat`));
