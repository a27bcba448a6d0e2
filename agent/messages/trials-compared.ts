/**
 * What agent and page say about results of trials side by side, what the money buys, the first week, the years. Instants
 * ISO 8601, energies Wh, money in the tariff's currency. A range `low95` to `high95` holds 19 times in 20.
 */
import * as v from 'valibot';
import { TrialKind, WireBudgetLine, WireFigure, WireTrial } from './trials.ts';

const instant = v.pipe(v.string(), v.isoTimestamp());
const maybe = <T extends v.GenericSchema>(schema: T) => v.nullable(schema);
const count = v.pipe(v.number(), v.integer(), v.minValue(0));

/** Two figures held against each other; what both share, such as one meter, cancels. */
export const WireDifference = v.object({
  a: v.string(),
  b: v.string(),
  what: WireFigure.entries.what,
  atW: maybe(v.number()),
  unit: WireFigure.entries.unit,
  /** b less a. */
  difference: v.number(),
  low95: v.number(),
  high95: v.number(),
  differencePct: maybe(v.number()),
  standardUncertainty: v.number(),
  verdict: v.picklist(['differs', 'noDifference', 'notComparable']),
  /** Why not, or what to mind: unlike loads, temperatures or ranges of charge. */
  because: v.array(v.picklist(['load', 'temperature', 'range', 'ownWattsOnly', 'oneMeter', 'otherMeter'])),
  budget: v.array(WireBudgetLine),
});

const range = v.object({ value: v.number(), low95: v.number(), high95: v.number() });

/** What the money buys, in the tariff's currency; null where a price or a figure is missing. */
export const WireWorth = v.object({
  trial: v.string(),
  perDeliveredWh: maybe(range),
  perHarvestedWhAYear: maybe(range),
  harvestWhAYear: maybe(range),
  payBackYears: maybe(range),
});

/** GET /api/trials/compare?ids=A,B,… */
export const ComparisonAnswer = v.object({
  trials: v.array(WireTrial),
  differences: v.array(WireDifference),
  worth: v.array(WireWorth),
  currency: maybe(v.string()),
});

export const WireFirstWeekStep = v.object({
  do: v.picklist(['fullCharge', 'usable', 'charge', 'ownDraw', 'converter', 'solar', 'decide']),
  /** Day to do it on, civil date in the station's zone. */
  date: v.string(),
  hours: v.tuple([v.number(), v.number()]),
  state: v.picklist(['open', 'running', 'done', 'late']),
  trial: maybe(v.string()),
});

/** GET /api/stations/ID/first-week */
export const FirstWeekAnswer = v.object({
  station: v.string(),
  firstSeen: maybe(v.string()),
  /** Last day to give it back. */
  returnBy: maybe(v.string()),
  fullyChargedAt: maybe(instant),
  steps: v.array(WireFirstWeekStep),
  /** Kinds for which the time is too short. */
  leftOut: v.array(TrialKind),
});

/** GET /api/stations/ID/years */
export const YearsAnswer = v.object({
  station: v.string(),
  /** Energy out since the first reading over what is usable. */
  fullCycles: maybe(range),
  points: v.array(
    v.object({
      trial: v.string(),
      at: instant,
      usable: range,
      meanW: maybe(v.number()),
      tempC: maybe(v.number()),
      /** Held against the first: alike in load, temperature and range. */
      comparable: v.boolean(),
      ofFirstPct: maybe(range),
    }),
  ),
  /** % of the first a year, by a straight line; null with fewer than three comparable ones. */
  trendPctAYear: maybe(range),
  warranty: maybe(
    v.object({
      thresholdPct: v.pipe(v.number(), v.minValue(0), v.maxValue(100)),
      /** Of the label, or of what the first trial delivered. */
      of: v.picklist(['rated', 'first']),
      untilAt: maybe(instant),
      cycles: maybe(count),
      verdict: v.picklist(['above', 'below', 'cannotSay']),
    }),
  ),
});

export type WireDifference = v.InferOutput<typeof WireDifference>;
export type WireWorth = v.InferOutput<typeof WireWorth>;
export type ComparisonAnswer = v.InferOutput<typeof ComparisonAnswer>;
export type WireFirstWeekStep = v.InferOutput<typeof WireFirstWeekStep>;
export type FirstWeekAnswer = v.InferOutput<typeof FirstWeekAnswer>;
export type YearsAnswer = v.InferOutput<typeof YearsAnswer>;
