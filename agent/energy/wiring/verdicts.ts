/**
 * What may be said of an arrangement, and why. Each reason is a code with its numbers; the code alone decides which
 * verdict it calls for, and the worst of them is the arrangement's. Words are made elsewhere.
 */

/** Worst first. */
export const VERDICTS = ['do not connect', 'cannot say', 'too low to start', 'clips', 'fits, barely', 'fits'] as const;
export type Verdict = (typeof VERDICTS)[number];

export type PanelField = 'openCircuitV' | 'shortCircuitA' | 'maxPowerV' | 'ratedW' | 'maxSeriesFuseA';
export type PortField = 'maxV' | 'minV' | 'maxA' | 'maxW';

/** Volts, amps, watts, °C and percent as the names say. */
export type Reason =
  // do not connect
  | { code: 'overVoltage'; coldMaxV: number; maxV: number; coldestC: number }
  | { code: 'overCurrent'; designA: number; maxA: number }
  | { code: 'overPlug'; designA: number; plugA: number }
  | { code: 'unequalStrings'; highV: number; lowV: number; limitPct: number }
  // cannot say
  | { code: 'panelUnknown'; panel: string; field: PanelField }
  | { code: 'portUnknown'; port: string; field: PortField }
  | { code: 'coldestUnknown' }
  | { code: 'noFuseSize'; leastA: number; mostA: number }
  // too low to start
  | { code: 'underVoltage'; hotV: number; minV: number; hottestC: number }
  // clips
  | { code: 'overWatts'; offeredW: number; maxW: number; lostW: number }
  | { code: 'overAmpsAllowed'; designA: number; maxA: number; lostW: number }
  | { code: 'mismatch'; inSeries: boolean; lostW: number; offeredW: number }
  // fits, barely
  | { code: 'nearVoltage'; coldMaxV: number; maxV: number }
  | { code: 'nearCurrent'; designA: number; maxA: number }
  | { code: 'nearPlug'; designA: number; plugA: number }
  | { code: 'nearStart'; hotV: number; minV: number }
  | { code: 'nearWatts'; offeredW: number; maxW: number }
  // beside any verdict
  | { code: 'coldVolts'; coldV: number; coldMaxV: number; coldestC: number }
  | { code: 'designCurrent'; designA: number; shortCircuitA: number }
  | {
      code: 'stringFuses';
      backFeedA: number;
      ratingA: number;
      iec62548: boolean;
      iec60364: boolean;
      fromA: number;
      toA: number;
      sizeA: number | null;
    }
  | { code: 'leadLoss'; voltsLost: number; wattsLost: number; plugA: number | null }
  | { code: 'leadUnrated' }
  | { code: 'leftOver'; panels: number; lessPct: number | null }
  | { code: 'byTable'; panel: string; factor: number; coldestC: number }
  | { code: 'toleranceAssumed'; panel: string; pct: number; build: 'rigid' | 'folding' }
  | { code: 'powerPctAssumed'; panel: string; pctPerK: number }
  | { code: 'hottestAssumed'; hottestC: number };

export type ReasonCode = Reason['code'];

const CALLS_FOR: { readonly [C in ReasonCode]: Verdict } = {
  overVoltage: 'do not connect',
  overCurrent: 'do not connect',
  overPlug: 'do not connect',
  unequalStrings: 'do not connect',
  panelUnknown: 'cannot say',
  portUnknown: 'cannot say',
  coldestUnknown: 'cannot say',
  noFuseSize: 'cannot say',
  underVoltage: 'too low to start',
  overWatts: 'clips',
  overAmpsAllowed: 'clips',
  mismatch: 'clips',
  nearVoltage: 'fits, barely',
  nearCurrent: 'fits, barely',
  nearPlug: 'fits, barely',
  nearStart: 'fits, barely',
  nearWatts: 'fits, barely',
  coldVolts: 'fits',
  designCurrent: 'fits',
  stringFuses: 'fits',
  leadLoss: 'fits',
  leadUnrated: 'fits',
  leftOver: 'fits',
  byTable: 'fits',
  toleranceAssumed: 'fits',
  powerPctAssumed: 'fits',
  hottestAssumed: 'fits',
};

/** The verdict a reason calls for by itself; `fits` where it is only said beside. */
export const callsFor = (reason: Reason): Verdict => CALLS_FOR[reason.code];

/** 0 is the worst. */
export const rankOf = (verdict: Verdict): number => VERDICTS.indexOf(verdict);

/** The worst that any reason calls for. */
export const verdictOf = (reasons: readonly Reason[]): Verdict =>
  VERDICTS[Math.min(rankOf('fits'), ...reasons.map(reason => rankOf(callsFor(reason))))]!;

/** The same reasons, those that weigh most first. */
export const worstFirst = (reasons: readonly Reason[]): Reason[] =>
  reasons.toSorted((a, b) => rankOf(callsFor(a)) - rankOf(callsFor(b)));

/** Safe and of use. */
export const isSafe = (verdict: Verdict): boolean => rankOf(verdict) >= rankOf('clips');
