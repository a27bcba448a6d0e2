/**
 * What agent and page say about trials: kinds, one trial with what was chosen for it, its judgement with ranges and where
 * they come from. Instants ISO 8601, powers W, energies Wh, °C. A range
 * `low95` to `high95` holds 19 times in 20. null is not known. The meaning of codes: agent/energy/estimates/trials.
 */
import * as v from 'valibot';

const instant = v.pipe(v.string(), v.isoTimestamp());
const maybe = <T extends v.GenericSchema>(schema: T) => v.nullable(schema);
const between = (min: number, max: number) => v.pipe(v.number(), v.minValue(min), v.maxValue(max));
const note = v.pipe(v.string(), v.trim(), v.maxLength(400));
const shortName = v.pipe(v.string(), v.trim(), v.minLength(1), v.maxLength(40));

export const TrialKind = v.picklist(['usable', 'ownDraw', 'converter', 'charge', 'solar', 'twoSets']);

const waits = v.picklist([
  'readings',
  'full',
  'low',
  'load',
  'noLoad',
  'outletsOn',
  'noInput',
  'input',
  'stateOfCharge',
  'outputPower',
  'batteryPower',
  'loadStands',
  'moreLoads',
  'sun',
  'setStands',
  'otherSet',
]);
const ends = v.picklist([
  'cutOff',
  'floor',
  'narrowEnough',
  'longest',
  'full',
  'loadsDone',
  'sunset',
  'roundsDone',
  'owner',
  'spoiled',
  'gap',
]);
const spoiler = v.picklist([
  'loadUnplugged',
  'loadUnsteady',
  'otherLoad',
  'sunOnPanels',
  'mainsBack',
  'inputOff',
  'gap',
  'tooCold',
  'tooWarm',
  'switchedOffEarly',
  'gaugeCorrected',
  'gaugeBlind',
  'batteryFull',
  'portLimited',
  'clouds',
  'meterSilent',
  'meterDisagrees',
]);

/** One row of the table of kinds, and whether this station tells enough for it. */
export const WireTrialKind = v.object({
  kind: TrialKind,
  needs: v.array(v.string()),
  betterWith: v.array(v.string()),
  /** Of `needs`, what the station does not tell. */
  missing: v.array(v.string()),
  waits: v.array(waits),
  ends: v.array(ends),
  spoiledBy: v.array(spoiler),
  usualHours: v.tuple([v.number(), v.number()]),
});

/** Asked for, and not to be had from readings that come once a second. */
export const NotMeasurable = v.object({
  kind: v.picklist(['switchOver', 'surge']),
  why: v.literal('tooQuick'),
  lastsMs: v.number(),
  needsMs: v.number(),
});

/** A meter beside the station: another source's readings, or counts typed while the trial runs. */
export const TrialMeter = v.strictObject({
  /** A source of the settings; null: typed. */
  source: maybe(v.pipe(v.string(), v.maxLength(40))),
  name: shortName,
  limitPct: between(0, 20),
  stepW: v.optional(between(0.001, 100), 0.1),
  stepWh: v.optional(between(0.001, 1000), 1),
});

const common = {
  tempMinC: v.optional(between(-30, 60)),
  tempMaxC: v.optional(between(-30, 60)),
  ownWattsLimitPct: v.optional(between(0, 20)),
  batteryLimitPct: v.optional(between(0, 20)),
  meter: v.optional(TrialMeter),
};
const panelSet = v.strictObject({ name: shortName, ratedW: between(1, 20_000) });

/** What the owner may choose; all else comes from the settings and the record. */
export const TrialOptions = v.variant('kind', [
  v.strictObject({ kind: v.literal('usable'), ...common, floorPct: v.optional(maybe(between(0, 90))) }),
  v.strictObject({
    kind: v.literal('ownDraw'),
    ...common,
    narrowPct: v.optional(between(1, 50)),
    narrowW: v.optional(between(0.1, 20)),
    longestHours: v.optional(between(1, 96)),
  }),
  v.strictObject({ kind: v.literal('converter'), ...common, loads: v.optional(v.pipe(between(3, 12), v.integer())) }),
  v.strictObject({
    kind: v.literal('charge'),
    ...common,
    source: v.picklist(['wall', 'sun']),
    fromPct: v.optional(between(0, 60)),
    /** Id of a discharge trial of the same station, for the round trip. */
    discharge: v.optional(v.string()),
  }),
  v.strictObject({ kind: v.literal('solar'), ...common }),
  v.strictObject({
    kind: v.literal('twoSets'),
    ...common,
    how: v.picklist(['alternated', 'ports']),
    a: panelSet,
    b: panelSet,
    portA: v.optional(v.pipe(between(1, 16), v.integer())),
    portB: v.optional(v.pipe(between(1, 16), v.integer())),
  }),
]);

/** What the owner says of the circumstances. Never needed. */
export const TrialConditions = v.strictObject({
  note: v.optional(note),
  load: v.optional(v.pipe(v.string(), v.trim(), v.maxLength(80))),
  airTempC: v.optional(between(-40, 60)),
});

export const WireBudgetLine = v.object({
  source: v.picklist([
    'scatter',
    'rounding',
    'ownWatts',
    'meter',
    'batterySensors',
    'wholePercents',
    'tickMoment',
    'unevenPercents',
    'perPercent',
    'gaugeCount',
    'bridgedGap',
    'endMoment',
    'loadDrift',
    'fit',
    'curveShape',
    'clearSky',
    'panelLabel',
    'air',
    'warmth',
    'sky',
    'repeat',
    'otherResult',
    'price',
  ]),
  /** A: from the scatter of readings. B: from anything else. */
  kind: v.picklist(['A', 'B']),
  shape: v.picklist(['normal', 'rectangular', 'triangular', 'threeWay']),
  /** In the figure's unit. */
  standardUncertainty: v.number(),
  freedom: maybe(v.number()),
  /** Of the variance, 0 to 1. */
  share: v.number(),
  /** Names the one cause behind it that other figures may share, such as one meter. */
  shared: maybe(v.string()),
  effect: v.number(),
});

export const WireFigure = v.object({
  what: v.picklist([
    'deliveredWh',
    'deliveredByMeterWh',
    'gainErrorPct',
    'shareOfRatedPct',
    'shareOfRatedByMeterPct',
    'perPercentWh',
    'batteryPerPercentWh',
    'conversionPct',
    'meanLoadW',
    'hours',
    'ownDrawW',
    'fixedLossW',
    'linearLoss',
    'squareLossPerKW',
    'efficiencyPct',
    'minutesTo80',
    'minutesTo90',
    'minutesTo100',
    'takenInWh',
    'takenInByMeterWh',
    'inPerPercentWh',
    'peakW',
    'taperFromPct',
    'taperMinutes',
    'roundTripPct',
    'harvestWh',
    'ofClearSkyPct',
    'bOfAPct',
    'bOfAPerRatedPct',
  ]),
  atW: maybe(v.number()),
  value: v.number(),
  unit: v.picklist(['Wh', 'W', '%', 'h', 'min', 'W/W', '1/kW', 'W/%', 'Wh/%']),
  low95: v.number(),
  high95: v.number(),
  standardUncertainty: v.number(),
  coverageFactor: v.number(),
  effectiveFreedom: maybe(v.number()),
  against: v.picklist(['ownWatts', 'meter', 'batterySensors', 'percents', 'clock', 'clearSky', 'eachOther']),
  budget: v.array(WireBudgetLine),
});

export const WireTrialCurve = v.object({
  of: v.picklist(['percentByHour', 'wattsByHour', 'wattsByPercent', 'efficiencyByLoad', 'clearSkyByHour']),
  as: v.picklist(['points', 'line']),
  points: v.array(v.object({ x: v.number(), y: v.number(), low95: v.number(), high95: v.number() })),
});

export const WireTrialResult = v.object({
  figures: v.array(WireFigure),
  curves: v.array(WireTrialCurve),
  under: v.object({
    meanW: maybe(v.number()),
    tempC: maybe(v.number()),
    fromPct: maybe(v.number()),
    toPct: maybe(v.number()),
  }),
});

export const WireJudgement = v.object({
  phase: v.picklist(['waiting', 'running', 'done', 'spoiled', 'interrupted']),
  waitsFor: maybe(waits),
  endsBecause: maybe(ends),
  beganAt: maybe(instant),
  endedAt: maybe(instant),
  spoiledBy: v.array(
    v.object({
      what: spoiler,
      at: instant,
      toAt: instant,
      /** spoils: nothing may be concluded. widens: it is in the range. noted: it changes nothing. */
      consequence: v.picklist(['spoils', 'widens', 'noted']),
      amount: maybe(v.number()),
      unit: maybe(v.picklist(['W', 'Wh', '°C', '%', 'min'])),
    }),
  ),
  progress: v.object({
    share: maybe(v.number()),
    leftMs: maybe(v.number()),
    count: maybe(v.number()),
    wanted: maybe(v.number()),
  }),
  /** null before there is any, and of a spoiled trial. While running: so far. */
  result: maybe(WireTrialResult),
});

export const WireTrial = v.object({
  /** Never used again; a result is cited by it. */
  id: v.string(),
  kind: TrialKind,
  station: v.string(),
  stationName: v.string(),
  startedAt: instant,
  /** The owner ended it. */
  endedAt: maybe(instant),
  options: TrialOptions,
  conditions: TrialConditions,
  /** Steps told by hand, and counts read off a meter. */
  steps: v.array(v.object({ at: instant, step: v.picklist(['a', 'b', 'away']) })),
  typed: v.array(v.object({ at: instant, energyWh: v.number() })),
  simulated: v.boolean(),
  /** Of wattkeep, and of the rules it was judged by. */
  version: v.string(),
  judgement: WireJudgement,
});

/** GET /api/trials[?station=ID] */
export const TrialsAnswer = v.object({
  kinds: v.array(WireTrialKind),
  notMeasurable: v.array(NotMeasurable),
  trials: v.array(WireTrial),
});

/** POST /api/trials → TrialAnswer. */
export const TrialStart = v.strictObject({
  station: v.pipe(v.string(), v.maxLength(40)),
  options: TrialOptions,
  conditions: v.optional(TrialConditions, {}),
});
/** GET /api/trials/ID, and the answer to any change of it. */
export const TrialAnswer = v.object({ trial: WireTrial });
/** PUT /api/trials/ID */
export const TrialChange = v.variant('do', [
  /** Enough: ends with what there is, or is given up. */
  v.strictObject({ do: v.literal('end') }),
  v.strictObject({ do: v.literal('conditions'), conditions: TrialConditions }),
  /** The other panel set is plugged in, or none. */
  v.strictObject({ do: v.literal('step'), step: v.picklist(['a', 'b', 'away']) }),
  /** Read off the meter just now. */
  v.strictObject({ do: v.literal('meter'), energyWh: between(0, 1e9) }),
  v.strictObject({ do: v.literal('remove') }),
]);

export type TrialKind = v.InferOutput<typeof TrialKind>;
export type WireTrialKind = v.InferOutput<typeof WireTrialKind>;
export type TrialMeter = v.InferOutput<typeof TrialMeter>;
export type TrialOptions = v.InferOutput<typeof TrialOptions>;
export type TrialConditions = v.InferOutput<typeof TrialConditions>;
export type WireBudgetLine = v.InferOutput<typeof WireBudgetLine>;
export type WireFigure = v.InferOutput<typeof WireFigure>;
export type WireTrialCurve = v.InferOutput<typeof WireTrialCurve>;
export type WireTrialResult = v.InferOutput<typeof WireTrialResult>;
export type WireJudgement = v.InferOutput<typeof WireJudgement>;
export type WireTrial = v.InferOutput<typeof WireTrial>;
export type TrialsAnswer = v.InferOutput<typeof TrialsAnswer>;
export type TrialStart = v.InferOutput<typeof TrialStart>;
export type TrialAnswer = v.InferOutput<typeof TrialAnswer>;
export type TrialChange = v.InferOutput<typeof TrialChange>;
