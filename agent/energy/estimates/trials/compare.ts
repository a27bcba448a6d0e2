/**
 * Two results held against each other: do they differ by more than their uncertainty? What both owe to one cause, such as
 * one meter or one station's own watts, cancels as far as it is the same (JCGM 100:2008, 5.2.2, from memory). Where a
 * figure rests on a station's own watts, how far these may be off comes in; and what two runs of one station differ by.
 *
 * What no judgement can do: with own watts that may each be off by ±3 % anyhow, the gains of two stations differ by up to
 * 6 %, triangular. 95 % of that lies within 4.66 %, and stations 5 % apart are then told apart in 55 of 100 cases, were
 * nothing else unsure; were equal ones to be called different in 7 of 100, in 59. For 80 the limits must be ±2.2 %, or
 * the stations 6.9 % apart, or one meter see both.
 */
import type { TrialKind, TrialResult } from './asked.ts';
import { combined, halfWidth95 } from './coverage.ts';
import { type BudgetLine, budgetOf, type Figure, type FigureName, type FigureUnit } from './figure.ts';
import { joined, normalTerm, scaled, type Term } from './terms.ts';
import { trueTerms } from './true-value.ts';

export interface Comparable {
  readonly id: string;
  readonly station: string;
  readonly kind: TrialKind;
  readonly result: TrialResult;
  readonly ownWattsLimitPct: number;
}

export type Mind = 'load' | 'temperature' | 'range' | 'ownWattsOnly' | 'oneMeter' | 'otherMeter';

export interface Difference {
  readonly a: string;
  readonly b: string;
  readonly what: FigureName;
  readonly atW: number | null;
  readonly unit: FigureUnit;
  /** b less a. */
  readonly difference: number;
  readonly low95: number;
  readonly high95: number;
  /** Of a; null where a is nothing. */
  readonly differencePct: number | null;
  readonly standardUncertainty: number;
  readonly verdict: 'differs' | 'noDifference' | 'notComparable';
  readonly because: readonly Mind[];
  readonly budget: readonly BudgetLine[];
}

/** What two runs of one station differ by, relative standard deviation. Own judgement, tuned on the plant. */
const REPEAT: Record<TrialKind, number> = {
  usable: 0.005,
  ownDraw: 0.01,
  converter: 0.002,
  charge: 0.005,
  solar: 0.01,
  twoSets: 0.003,
};

/** Results are alike within these. Own judgement. */
const ALIKE = { loadRatio: 1.25, tempC: 8, rangePct: 4, atW: 1.25 } as const;

const ratioOf = (x: number, y: number): number =>
  x <= 0 || y <= 0 ? Number.POSITIVE_INFINITY : Math.max(x / y, y / x);

/** Why two results cannot be held against each other; empty where they can. */
export function unlike(a: TrialResult, b: TrialResult, kind: TrialKind): Mind[] {
  const out: Mind[] = [];
  const [p, q] = [a.under, b.under];
  const load = kind === 'usable' && p.meanW !== null && q.meanW !== null && ratioOf(p.meanW, q.meanW) > ALIKE.loadRatio;
  if (load) out.push('load');
  if (p.tempC !== null && q.tempC !== null && Math.abs(p.tempC - q.tempC) > ALIKE.tempC) out.push('temperature');
  const span = ({ under }: TrialResult) =>
    under.fromPct === null || under.toPct === null ? null : Math.abs(under.fromPct - under.toPct);
  const [s, t] = [span(a), span(b)];
  if ((kind === 'usable' || kind === 'charge') && s !== null && t !== null && Math.abs(s - t) > ALIKE.rangePct)
    out.push('range');
  return out;
}

/** A figure's terms with all that it may be off by as a true value. */
export const absoluteTerms = (figure: Figure, of: Comparable): Term[] => [
  ...trueTerms(figure, of),
  normalTerm('repeat', figure.value * REPEAT[of.kind]),
];

export function find(result: TrialResult, what: FigureName, atW: number | null): Figure | undefined {
  if (atW === null) return result.figures.find(f => f.what === what);
  return result.figures
    .filter(f => f.what === what && f.atW !== null && ratioOf(f.atW, atW) <= ALIKE.atW)
    .sort((a, b) => ratioOf(a.atW!, atW) - ratioOf(b.atW!, atW))[0];
}

/** Terms of b less a, what they share taken together. */
export const differenceTerms = (a: readonly Term[], b: readonly Term[]): Term[] => joined([...b, ...scaled(a, -1)]);

/** One figure of both; null where one of them has none. `atW`: of a load of about this size. */
export function differenceOf(
  a: Comparable,
  b: Comparable,
  what: FigureName,
  atW: number | null = null,
): Difference | null {
  const [p, q] = [find(a.result, what, atW), find(b.result, what, atW)];
  if (p === undefined || q === undefined || a.kind !== b.kind) return null;
  const terms = differenceTerms(absoluteTerms(p, a), absoluteTerms(q, b));
  const difference = q.value - p.value;
  const half = halfWidth95(terms);
  const because = unlike(a.result, b.result, a.kind);
  const meters = [p, q].map(
    f => f.budget.find(line => line.source === 'meter' && line.shared?.startsWith('meter:') === true)?.shared,
  );
  const minds: Mind[] = [
    ...because,
    ...(p.against === 'ownWatts' && a.station !== b.station ? (['ownWattsOnly'] as const) : []),
    ...(meters[0] === meters[1]
      ? []
      : ([meters.includes(undefined) ? 'oneMeter' : 'otherMeter'] satisfies readonly Mind[])),
  ];
  return {
    a: a.id,
    b: b.id,
    what,
    atW,
    unit: p.unit,
    difference,
    low95: difference - half,
    high95: difference + half,
    differencePct: p.value === 0 ? null : (100 * difference) / p.value,
    standardUncertainty: combined(terms),
    verdict: because.length > 0 ? 'notComparable' : Math.abs(difference) > half ? 'differs' : 'noDifference',
    because: minds,
    budget: budgetOf(terms),
  };
}

/** Worth comparing, the most telling first; by a meter rather than by own watts where both have it. */
const TELLING: Record<TrialKind, readonly FigureName[]> = {
  usable: ['deliveredByMeterWh', 'deliveredWh', 'shareOfRatedByMeterPct', 'shareOfRatedPct', 'conversionPct'],
  ownDraw: ['ownDrawW'],
  converter: ['efficiencyPct', 'fixedLossW'],
  charge: ['roundTripPct', 'minutesTo80', 'minutesTo100', 'takenInByMeterWh', 'takenInWh', 'peakW'],
  solar: ['ofClearSkyPct', 'harvestWh'],
  twoSets: ['bOfAPct', 'bOfAPerRatedPct'],
};

/** All telling differences of two results of one kind; empty for different kinds. */
export function differencesOf(a: Comparable, b: Comparable): Difference[] {
  if (a.kind !== b.kind) return [];
  return TELLING[a.kind].flatMap(what => {
    const watts = what === 'efficiencyPct' ? a.result.figures.filter(f => f.what === what).map(f => f.atW) : [null];
    return watts.flatMap(atW => differenceOf(a, b, what, atW) ?? []);
  });
}
