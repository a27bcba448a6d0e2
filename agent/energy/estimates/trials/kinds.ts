/**
 * The kinds of trial there are, and what each needs: one table, from which pages and verbs say what to connect. Two that
 * are often asked for cannot be measured from telemetry, which comes once a second at best; they are listed to say so.
 */
import type { Ends, Spoiler, TrialKind, Waits } from './asked.ts';

export interface KindRow {
  readonly kind: TrialKind;
  /** Quantities without which it cannot be judged, and which make it better. */
  readonly needs: readonly string[];
  readonly betterWith: readonly string[];
  /** What it may wait for before it begins. */
  readonly waits: readonly Waits[];
  readonly ends: readonly Ends[];
  readonly spoiledBy: readonly Spoiler[];
  /** Usual length, hours. Common practice, no source. */
  readonly usualHours: readonly [number, number];
}

export const KINDS: readonly KindRow[] = [
  {
    kind: 'usable',
    needs: ['outputPowerW', 'stateOfChargePct'],
    betterWith: [
      'acOutputPowerW',
      'meterEnergyWh',
      'batteryVoltageV',
      'batteryCurrentA',
      'batteryTempC',
      'acOutletsOn',
    ],
    waits: ['readings', 'stateOfCharge', 'outputPower', 'full', 'noInput', 'load'],
    ends: ['cutOff', 'floor', 'owner', 'spoiled', 'gap'],
    spoiledBy: [
      'loadUnplugged',
      'otherLoad',
      'loadUnsteady',
      'sunOnPanels',
      'mainsBack',
      'gap',
      'tooCold',
      'tooWarm',
      'switchedOffEarly',
      'meterSilent',
      'meterDisagrees',
    ],
    usualHours: [3, 12],
  },
  {
    kind: 'ownDraw',
    needs: ['outputPowerW', 'stateOfChargePct'],
    betterWith: ['acOutletsOn', 'batteryTempC'],
    waits: ['readings', 'stateOfCharge', 'outputPower', 'batteryPower', 'outletsOn', 'noLoad', 'noInput'],
    ends: ['narrowEnough', 'longest', 'floor', 'owner', 'spoiled', 'gap'],
    spoiledBy: [
      'otherLoad',
      'sunOnPanels',
      'mainsBack',
      'gap',
      'tooCold',
      'tooWarm',
      'switchedOffEarly',
      'gaugeCorrected',
      'gaugeBlind',
    ],
    usualHours: [5, 12],
  },
  {
    kind: 'converter',
    needs: ['acOutputPowerW'],
    betterWith: ['batteryVoltageV', 'batteryCurrentA', 'stateOfChargePct', 'meterPowerW'],
    waits: ['readings', 'outputPower', 'batteryPower', 'noInput', 'load', 'loadStands', 'moreLoads'],
    ends: ['loadsDone', 'owner', 'spoiled', 'gap'],
    spoiledBy: ['sunOnPanels', 'mainsBack', 'loadUnsteady', 'gap', 'tooCold', 'tooWarm', 'switchedOffEarly'],
    usualHours: [1, 3],
  },
  {
    kind: 'charge',
    needs: ['inputPowerW', 'stateOfChargePct'],
    betterWith: ['chargerPowerW', 'meterEnergyWh', 'batteryVoltageV', 'batteryCurrentA', 'batteryTempC'],
    waits: ['readings', 'stateOfCharge', 'low', 'input', 'noLoad'],
    ends: ['full', 'owner', 'spoiled', 'gap'],
    spoiledBy: ['inputOff', 'otherLoad', 'sunOnPanels', 'mainsBack', 'gap', 'tooCold', 'tooWarm'],
    usualHours: [1, 8],
  },
  {
    kind: 'solar',
    needs: ['solarPowerW'],
    betterWith: ['stateOfChargePct', 'solarVoltageV', 'planeOfArrayWm2'],
    waits: ['readings', 'sun'],
    ends: ['sunset', 'owner', 'spoiled', 'gap'],
    spoiledBy: ['batteryFull', 'portLimited', 'mainsBack', 'inputOff', 'gap', 'clouds'],
    usualHours: [6, 15],
  },
  {
    kind: 'twoSets',
    needs: ['solarPowerW'],
    betterWith: ['stateOfChargePct', 'planeOfArrayWm2'],
    waits: ['readings', 'sun', 'setStands', 'otherSet'],
    ends: ['roundsDone', 'sunset', 'owner', 'spoiled', 'gap'],
    spoiledBy: ['batteryFull', 'portLimited', 'mainsBack', 'gap', 'clouds'],
    usualHours: [0.5, 3],
  },
];

/** What is over within a fraction of the time between two readings. */
export const NOT_MEASURABLE = [
  /** From wall to battery: some 5 to 30 ms (common practice, no source). */
  { kind: 'switchOver', why: 'tooQuick', lastsMs: 30, needsMs: 1 },
  /** The first half second of a motor: 0.1 to 0.5 s. */
  { kind: 'surge', why: 'tooQuick', lastsMs: 500, needsMs: 10 },
] as const;

/** So long after the end the last count of a meter that is read by eye still belongs to a trial. Own judgement. */
export const LAST_COUNT_MS = 2 * 86_400_000;

/** What is presumed where nobody says otherwise; common practice, no source. */
export const PRESUMED = {
  tempMinC: 10,
  tempMaxC: 45,
  ownWattsLimitPct: 3,
  batteryLimitPct: 1,
  meterLimitPct: 1,
  meterStepW: 0.1,
  meterStepWh: 1,
  narrowPct: 10,
  narrowW: 1,
  longestHours: 24,
  loads: 4,
  chargeFromPct: 10,
} as const;
