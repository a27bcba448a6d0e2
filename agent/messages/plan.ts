/**
 * What Plan rests on: what the owner wants to run, the station's limits and losses, its panels and their sky, the record's
 * clear and dull days, its weeks hour by hour, and prices. The page reckons from it, so that each change of the list is
 * answered at once. Powers W, energies Wh, money in the tariff's currency; null: not known.
 */
import * as v from 'valibot';
import { PlanSettings } from './settings.ts';

const value = v.nullable(v.number());
/** Monday 00:00 to Sunday 23:00 of the civil week. */
const byHour = <S extends v.GenericSchema>(entry: S) => v.pipe(v.array(entry), v.length(168));

/** How much of the label lies between two states of charge, %, with the spread of what the gauge's unevenness adds. */
const Usable = v.object({ fromPct: v.number(), toPct: v.number(), labelPct: v.number(), sdPct: v.number() });

export const PlanAnswer = v.object({
  station: v.string(),
  madeAt: v.pipe(v.string(), v.isoTimestamp()),
  zone: v.string(),
  simulated: v.boolean(),
  /** As it is kept. */
  plan: PlanSettings,
  /** What was seen plugged in; `startFactor` never is. */
  seen: v.array(
    v.object({ name: v.nullable(v.string()), powerW: v.number(), duty: v.number(), mustStayOn: v.boolean() }),
  ),
  ratedWh: value,
  continuousW: value,
  surgeW: value,
  /** What it takes from the wall; `seen`: the most that was recorded. null where neither told nor seen. */
  wallCharge: v.nullable(v.object({ powerW: v.number(), from: v.picklist(['told', 'seen']) })),
  solarMaxW: value,
  floorPct: v.number(),
  ceilingPct: v.number(),
  /** Charged to its ceiling, and as it is now; null where nothing is known. */
  full: Usable,
  now: v.nullable(Usable),
  losses: v.object({
    /** Watt-hours of the label an outgoing one costs, own draw in W, what an incoming one brings; covariance row by row. */
    mean: v.tuple([v.number(), v.number(), v.number()]),
    covariance: v.pipe(v.array(v.number()), v.length(9)),
    /** Percents it was learned from; 0: the label's own. */
    ticks: v.number(),
    /** Greatest load it was learned at, W; null where not learned. */
    knownToW: value,
  }),
  place: v.nullable(
    v.object({
      latitudeDeg: v.number(),
      longitudeDeg: v.number(),
      altitudeM: v.number(),
      turbidity: v.number(),
    }),
  ),
  panels: v.array(
    v.object({
      /** All of a kind together. */
      ratedW: v.number(),
      /** null: not told, taken as flat. */
      tiltDeg: value,
      azimuthDeg: value,
      /** Relative change of power a kelvin; null: not told. */
      powerPerK: value,
    }),
  ),
  /** What the panels gave of a cloudless day while nothing held them back. */
  days: v.array(v.object({ date: v.string(), clearness: v.number() })),
  /** Mean load and sun by hour of the week, the newest last; null where not recorded. */
  weeks: v.array(v.object({ loadW: byHour(value), sunW: byHour(value) })),
  /** For each hour of the week; null without a tariff. */
  price: v.nullable(v.object({ currency: v.string(), perKWh: byHour(v.number()) })),
  /** What the station cost. */
  paid: value,
});
export type PlanAnswer = v.InferOutput<typeof PlanAnswer>;
