/**
 * What a trial is judged from and what is said of it. A judgement is a pure function of the samples since the trial was
 * started, so that a trial goes on after any restart by reading the record again. Instants UTC epoch ms, powers W,
 * energies Wh, °C; what is missing in a column is NaN.
 */
import type { SkyPlace } from '../../sky.ts';
import type { StandingPanels } from '../pointing/asked.ts';
import type { Figure } from './figure.ts';

export const TRIAL_KINDS = ['usable', 'ownDraw', 'converter', 'charge', 'solar', 'twoSets'] as const;
export type TrialKind = (typeof TRIAL_KINDS)[number];

/** Columns of one length, in order of time. A state is 1, 0 or NaN. An empty array: the station does not tell it. */
export interface TrialSamples {
  readonly at: Float64Array;
  readonly inputW: Float64Array;
  readonly outputW: Float64Array;
  readonly acOutputW: Float64Array;
  readonly dcOutputW: Float64Array;
  readonly chargerW: Float64Array;
  readonly solarW: Float64Array;
  /** Each port of its own, where told. */
  readonly solarPortsW: readonly Float64Array[];
  readonly pct: Float64Array;
  readonly batteryV: Float64Array;
  /** Charging positive. */
  readonly batteryA: Float64Array;
  /** Charging positive; used where volts and amperes are not told. */
  readonly batteryW: Float64Array;
  readonly tempC: Float64Array;
  readonly acOn: Float64Array;
  readonly onMains: Float64Array;
}

/** A meter between the station and the load (or the wall and the station): of another source, or typed at intervals. */
export interface MeterSamples {
  readonly at: Float64Array;
  /** NaN where it tells none; empty where it never does. */
  readonly powerW: Float64Array;
  /** Running count; empty where it has none. */
  readonly energyWh: Float64Array;
}

/** What the owner says of the meter. */
export interface MeterFacts {
  /** Which one: results of the same meter share its error. */
  readonly id: string;
  /** Limit of error, % of the reading, as on its label. */
  readonly limitPct: number;
  /** Last digit of its watts, and of its count. */
  readonly stepW: number;
  readonly stepWh: number;
  /** Its counts are read off and typed: between two of them nothing is missing. */
  readonly byHand?: boolean;
}

/** A step the owner took by hand and told, such as plugging in the other panel set. */
export interface TrialStep {
  readonly at: number;
  readonly step: 'a' | 'b' | 'away';
}

/** What is presumed of the station's own instruments, and the air the trial is meant for. */
export interface CommonOptions {
  /** Energy on the label; null where not told. */
  readonly ratedWh: number | null;
  readonly tempMinC: number;
  readonly tempMaxC: number;
  /** How far the station's own watts may be off, % of the reading either way. */
  readonly ownWattsLimitPct: number;
  /** How far its battery volts times amperes may be off. */
  readonly batteryLimitPct: number;
  readonly meter: MeterFacts | null;
}

export interface UsableOptions extends CommonOptions {
  /** Ends there; null: at the station's own cut-off. */
  readonly floorPct: number | null;
  /** The owner's charge ceiling: what counts as full. */
  readonly fullPct: number;
  /** Where the station switches its outlets off, as far as known. */
  readonly cutoffPct: number;
}

export interface OwnDrawOptions extends CommonOptions {
  /** Ends once the range is this narrow either way, % of the value or W, whichever is wider. */
  readonly narrowPct: number;
  readonly narrowW: number;
  readonly longestHours: number;
  /** What a percent holds on the battery's side, where it was measured; else from the label. */
  readonly perPctWh: { readonly value: number; readonly standardUncertainty: number } | null;
}

export interface ConverterOptions extends CommonOptions {
  /** Loads of different size that are wanted, three at least. */
  readonly loads: number;
  readonly perPctWh: OwnDrawOptions['perPctWh'];
}

export interface ChargeOptions extends CommonOptions {
  readonly source: 'wall' | 'sun';
  /** It begins at or below this. */
  readonly fromPct: number;
  /** The owner's charge ceiling. */
  readonly toPct: number;
  /** A discharge trial of the same station, for the round trip. */
  readonly discharge: Delivered | null;
}

/** What the charge trial must know of a discharge: energy out over a fall of the state of charge. */
export interface Delivered {
  readonly figure: Figure;
  readonly fromPct: number;
  readonly toPct: number;
}

export interface SolarOptions extends CommonOptions {
  readonly place: SkyPlace;
  readonly turbidityTold: boolean;
  readonly panels: readonly StandingPanels[];
  readonly portMaxW: number | null;
  /** Where the station takes less than the panels give, %. */
  readonly fullPct: number;
}

export interface PanelSet {
  readonly name: string;
  readonly ratedW: number;
}

export interface TwoSetsOptions extends CommonOptions {
  readonly how: 'alternated' | 'ports';
  readonly a: PanelSet;
  readonly b: PanelSet;
  /** Ports of the two, counted from 1; not looked at where alternated. */
  readonly portA: number;
  readonly portB: number;
  readonly place: SkyPlace;
  readonly panels: readonly StandingPanels[];
  readonly fullPct: number;
}

export interface OptionsOf {
  readonly usable: UsableOptions;
  readonly ownDraw: OwnDrawOptions;
  readonly converter: ConverterOptions;
  readonly charge: ChargeOptions;
  readonly solar: SolarOptions;
  readonly twoSets: TwoSetsOptions;
}

export interface TrialAsked<K extends TrialKind = TrialKind> {
  readonly kind: K;
  readonly options: OptionsOf[K];
  /** Names the station: results of the same one share the errors of its instruments. */
  readonly station: string;
  readonly startedAt: number;
  /** The owner ended it; null while it may go on. */
  readonly endedAt: number | null;
  readonly nowAt: number;
  /** Longest distance of samples that is no gap. */
  readonly gapLimitMs: number;
  readonly samples: TrialSamples;
  readonly meter: MeterSamples | null;
  readonly steps: readonly TrialStep[];
}

/** `interrupted`: readings were missing for so long that it cannot be finished; what was measured stays. */
export type TrialPhase = 'waiting' | 'running' | 'done' | 'spoiled' | 'interrupted';

export const WAITS = [
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
] as const;
export type Waits = (typeof WAITS)[number];

export const ENDS = [
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
] as const;
export type Ends = (typeof ENDS)[number];

export const SPOILERS = [
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
] as const;
export type Spoiler = (typeof SPOILERS)[number];

/** `spoils`: nothing may be concluded. `widens`: it is in the range. `noted`: it changes nothing. */
export interface Spoiled {
  readonly what: Spoiler;
  readonly at: number;
  readonly toAt: number;
  readonly consequence: 'spoils' | 'widens' | 'noted';
  /** How much, in `unit`; null where it has no size. */
  readonly amount: number | null;
  readonly unit: 'W' | 'Wh' | '°C' | '%' | 'min' | null;
}

export interface TrialPoint {
  readonly x: number;
  readonly y: number;
  readonly low95: number;
  readonly high95: number;
}

export const CURVES = ['percentByHour', 'wattsByHour', 'wattsByPercent', 'efficiencyByLoad', 'clearSkyByHour'] as const;

/** `points`: what was measured one by one; `line`: what lies between. */
export interface TrialCurve {
  readonly of: (typeof CURVES)[number];
  readonly as: 'points' | 'line';
  readonly points: readonly TrialPoint[];
}

export interface TrialResult {
  readonly figures: readonly Figure[];
  readonly curves: readonly TrialCurve[];
  /** What makes results comparable. null: not known. */
  readonly under: {
    readonly meanW: number | null;
    readonly tempC: number | null;
    readonly fromPct: number | null;
    readonly toPct: number | null;
  };
}

export interface TrialJudgement {
  readonly phase: TrialPhase;
  /** While waiting, or before more can be said. */
  readonly waitsFor: Waits | null;
  readonly endsBecause: Ends | null;
  /** Measuring began, and ended; null while it has not. */
  readonly beganAt: number | null;
  readonly endedAt: number | null;
  readonly spoiledBy: readonly Spoiled[];
  readonly progress: {
    /** 0 to 1; null where nobody can say. */
    readonly share: number | null;
    readonly leftMs: number | null;
    /** Rounds, loads or ticks so far, and how many are wanted. */
    readonly count: number | null;
    readonly wanted: number | null;
  };
  /** So far while running. Of a spoiled trial null: nothing of it is ever told as good. */
  readonly result: TrialResult | null;
}
