/**
 * What the Ledger is told of a stretch of days: what each gathered, what a cloudless sky would have given, where the rest
 * went, what the station itself counted, and the day × hour carpet. Energies Wh, yields hours (kWh per kW), money in the
 * tariff's currency. null always means not known, never zero.
 */
import * as v from 'valibot';
import { COUNTER_NAMES } from '#kit';
import { WireDay } from './wire.ts';

const value = v.nullable(v.number());
const instant = v.string();

/**
 * What a cloudless day would have given beyond what came in, by cause; together with the harvest (`solarWh`) it is
 * `clearSkyWh` to the milliwatt-hour. A net amount may be negative: light at the edges of clouds, panels above the model.
 */
export const WhereItWent = v.object({
  cloudWh: v.number(),
  shadeWh: v.number(),
  /** The battery was full, or charged to its ceiling. */
  fullWh: v.number(),
  portLimitWh: v.number(),
  /** Lent, stored, travelling, or the panels were in. */
  notOutWh: v.number(),
  notRecordedWh: v.number(),
  /** Of the day that still runs: its rest. */
  aheadWh: v.number(),
  /** What no cause explains: heat, dirt, how the panels were set. Negative where more came in than the model gives. */
  otherWh: v.number(),
});
export type WhereItWent = v.InferOutput<typeof WhereItWent>;

const counter = v.picklist(COUNTER_NAMES);

/** How far a counter and what its watts add up to are apart over the same time; never averaged. */
export const CounterApart = v.object({
  quantity: counter,
  countedWh: v.number(),
  integratedWh: v.number(),
  /** Counted less integrated; of what was integrated, where that is anything. */
  differenceWh: v.number(),
  differencePct: value,
  /** By the counter's steps and what is known of the integration: up to here the two agree. */
  allowedWh: v.number(),
  beyond: v.boolean(),
});
export type CounterApart = v.InferOutput<typeof CounterApart>;

/** What the station's own counters say; never added to what was integrated here. */
export const Counted = v.object({
  solarWh: value,
  inputWh: value,
  outputWh: value,
  chargerWh: v.optional(value),
  meterWh: v.optional(value),
  /** Of these, counted while nothing was recorded: attributed to gaps, never spread over hours. */
  bridgedSolarWh: v.number(),
  /** One for each counter beside which anything was integrated. */
  apart: v.optional(v.array(CounterApart)),
});

export type Counted = v.InferOutput<typeof Counted>;

export const LedgerDay = v.object({
  ...WireDay.entries,
  /** Bounds of the day; of its part in this zone where the owner changed the zone on it. */
  startAt: instant,
  endAt: instant,
  /** Rating of the panels as it was that day. */
  ratedW: value,
  clearSkyWh: value,
  finalYieldH: value,
  referenceYieldH: value,
  referenceFrom: v.nullable(v.picklist(['measured', 'clear sky'])),
  /** Yf / Yr over recorded minutes in which neither a full battery nor a port held the panels back. */
  performanceRatio: value,
  /** Yr of those minutes alone: ratios of days are weighed by it. */
  openReferenceYieldH: v.optional(value),
  fullMin: v.number(),
  portLimitMin: v.number(),
  whereItWent: v.nullable(WhereItWent),
  /** What the harvest would have cost from the wall in the hours it came in, at that day's price, in `money.currency`. */
  worth: value,
  counted: v.nullable(Counted),
});
export type LedgerDay = v.InferOutput<typeof LedgerDay>;

/** Energy that a counter gained while nothing was recorded; or where it broke off, while all was recorded. */
export const Bridge = v.object({
  fromAt: instant,
  toAt: instant,
  quantity: counter,
  /** null: a reset, a wrap that is not known, or more than is possible. */
  energyWh: value,
  /** `reset`: it began again; `unlikely`: it gained more than could pass; `overrun`: it may have run over twice. */
  cause: v.optional(v.picklist(['counted', 'wrapped', 'reset', 'unlikely', 'overrun'])),
  /** Time in between that was not recorded: 0 where it broke off while all was. */
  gapMs: v.optional(v.number()),
});
export type Bridge = v.InferOutput<typeof Bridge>;

/** One counter over all days of the range. */
export const CounterSum = v.object({
  quantity: counter,
  /** On days of the range and in blocks that lie within it: all it counted that is known. */
  countedWh: v.number(),
  /** Of it, in blocks over gaps: none of it is in what was integrated. */
  bridgedWh: v.number(),
  /** Blocks of which nothing is known. */
  unknown: v.number(),
  apart: v.nullable(CounterApart),
});
export type CounterSum = v.InferOutput<typeof CounterSum>;

export const LedgerSpan = v.object({
  reason: v.string(),
  fromAt: instant,
  toAt: v.nullable(instant),
  note: v.string(),
  /** State of charge when it began and when it was back, %. */
  beforePct: value,
  afterPct: value,
});
export type LedgerSpan = v.InferOutput<typeof LedgerSpan>;

export const LedgerAnswer = v.object({
  station: v.string(),
  zone: v.string(),
  /** Civil date now, in the zone. */
  today: v.string(),
  /** Days with any reading, oldest first. */
  days: v.array(LedgerDay),
  /** Clear-sky energy of dates in the range that hold no reading, so that the line goes on over them. */
  missing: v.array(
    v.object({
      date: v.string(),
      clearSkyWh: value,
      /** Of it, while the panels were not out. */
      notOutWh: v.optional(value),
    }),
  ),
  /**
   * Mean watts from the sun by time of the civil day, one row for each of `days`; null where nothing was recorded. An
   * hour the clocks skip is null, of one they repeat it is the mean.
   */
  carpet: v.object({ stepMin: v.number(), rows: v.array(v.array(value)) }),
  /** Settings that were true from a date on, as they are kept; the first one of a key holds for the time before it too. */
  facts: v.array(v.object({ validFromAt: instant, key: v.string(), valueJson: v.nullable(v.string()) })),
  spans: v.array(LedgerSpan),
  bridges: v.array(Bridge),
  /** Of each counter that was told in the range. */
  counters: v.optional(v.array(CounterSum)),
  /** null without a tariff. `paid`: for the station and the panels it has now; null where one does not say. */
  money: v.nullable(
    v.object({
      currency: v.string(),
      paid: value,
      /** Worth of what was recorded before the range, since its first day, so that a sum over all goes on from there. */
      before: v.optional(v.nullable(v.object({ sinceDate: v.string(), worth: v.number() }))),
    }),
  ),
});
export type LedgerAnswer = v.InferOutput<typeof LedgerAnswer>;
