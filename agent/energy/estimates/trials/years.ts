/**
 * A station over the years: how many full cycles' worth went out, what it still delivers at loads and temperatures like
 * the first trial's, how that falls, and whether it is below what was promised.
 */
import { absoluteTerms, type Comparable, differenceTerms, find, unlike } from './compare.ts';
import { halfWidth95 } from './coverage.ts';
import type { Figure } from './figure.ts';
import { fitOf } from './fit.ts';
import { studentFactor } from './student.ts';
import { scaled } from './terms.ts';
import { asTrue } from './true-value.ts';
import { exactly, powersOf, type Range, rangeOf } from './worth.ts';

const YEAR_MS = 365.25 * 86_400_000;

export interface YearTrial extends Comparable {
  readonly at: number;
}

export interface YearPoint {
  readonly trial: string;
  readonly at: number;
  readonly usable: Range;
  readonly meanW: number | null;
  readonly tempC: number | null;
  /** Like the first in load, temperature and range. */
  readonly comparable: boolean;
  /** null for what is not. */
  readonly ofFirstPct: Range | null;
}

export interface Warranty {
  /** Of what the label or the first trial says. */
  readonly thresholdPct: number;
  readonly of: 'rated' | 'first';
  readonly ratedWh: number | null;
}

export interface Years {
  readonly fullCycles: Range | null;
  readonly points: readonly YearPoint[];
  readonly trendPctAYear: Range | null;
  readonly warranty: 'above' | 'below' | 'cannotSay' | null;
}

/** By a meter where there was one. */
const BY = ['deliveredByMeterWh', 'deliveredWh'] as const;
const usableOf = ({ result }: Comparable): Figure | undefined =>
  BY.map(what => find(result, what, null)).find(figure => figure !== undefined);

/** Of the first, by what both were measured with: what they owe to that one instrument cancels. */
function ofFirst(first: YearTrial, now: YearTrial): Range | null {
  const both = BY.find(
    what => find(first.result, what, null) !== undefined && find(now.result, what, null) !== undefined,
  );
  if (both === undefined) return null;
  const [a, b] = [find(first.result, both, null)!, find(now.result, both, null)!];
  const pct = (100 * b.value) / a.value;
  const terms = differenceTerms(
    scaled(absoluteTerms(a, first), pct / a.value),
    scaled(absoluteTerms(b, now), 100 / a.value),
  );
  const half = halfWidth95(terms);
  return { value: pct, low95: pct - half, high95: pct + half };
}

/** Straight line through the shares of the first, % a year, each weighted by its own range. */
function trendOf(points: readonly YearPoint[]): Range | null {
  const of = points.flatMap(p => (p.ofFirstPct === null ? [] : [{ at: p.at, pct: p.ofFirstPct }]));
  if (of.length < 3) return null;
  const firstAt = of[0]!.at;
  const deviations = of.map(p => Math.max(0.1, (p.pct.high95 - p.pct.low95) / 4));
  const fit = fitOf(
    of.map(p => [1, (p.at - firstAt) / YEAR_MS]),
    of.map(p => p.pct.value),
    deviations,
  );
  if (fit === null) return null;
  const freedom = of.length - 2;
  const chi = fit.residuals.reduce((sum, r, k) => sum + (r / deviations[k]!) ** 2, 0) / freedom;
  // As wide as the points scatter, and no narrower than their own ranges make it.
  const own = Math.hypot(...fit.turns[1]!.map((turn, k) => turn * deviations[k]!));
  const half =
    Math.max(1.96, studentFactor(0.95, freedom) * Math.sqrt(Math.min(chi, 1))) * own * Math.sqrt(Math.max(1, chi));
  const value = fit.coefficients[1]!;
  return { value, low95: value - half, high95: value + half };
}

/**
 * @param trials usable-energy trials of one station that ended well, oldest first
 * @param outWh energy out since the first reading; null where not known
 */
export function yearsOf(trials: readonly YearTrial[], outWh: Range | null, warranty: Warranty | null): Years {
  const told = trials.filter(t => usableOf(t) !== undefined);
  const first = told[0];
  const points = told.map((trial): YearPoint => {
    const { result } = trial;
    const comparable = unlike(first!.result, result, 'usable').length === 0;
    return {
      trial: trial.id,
      at: trial.at,
      usable: rangeOf(asTrue(usableOf(trial)!, trial)),
      meanW: result.under.meanW,
      tempC: result.under.tempC,
      comparable,
      ofFirstPct: !comparable ? null : trial === first ? exactly(100) : ofFirst(first!, trial),
    };
  });
  return {
    fullCycles:
      outWh === null || points[0] === undefined
        ? null
        : powersOf([
            [outWh, 1],
            [points[0].usable, -1],
          ]),
    points,
    trendPctAYear: trendOf(points),
    warranty: warranty === null ? null : verdictOf(points, warranty),
  };
}

/** Told only where the whole range lies on one side. */
function verdictOf(points: readonly YearPoint[], { thresholdPct, of, ratedWh }: Warranty): Years['warranty'] {
  const last = points.findLast(p => p.comparable);
  if (last === undefined) return 'cannotSay';
  const held: Range | null =
    of === 'first'
      ? last.ofFirstPct
      : ratedWh === null
        ? null
        : {
            value: (100 * last.usable.value) / ratedWh,
            low95: (100 * last.usable.low95) / ratedWh,
            high95: (100 * last.usable.high95) / ratedWh,
          };
  if (held === null) return 'cannotSay';
  return held.low95 >= thresholdPct ? 'above' : held.high95 < thresholdPct ? 'below' : 'cannotSay';
}
