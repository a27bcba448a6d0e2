/** One figure of a result with the range that holds 95 %, and where the range comes from, widest share first. */
import { combined, effectiveFreedom, halfWidth95 } from './coverage.ts';
import type { Source, Term } from './terms.ts';

export const FIGURES = [
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
] as const;
export type FigureName = (typeof FIGURES)[number];
export type FigureUnit = 'Wh' | 'W' | '%' | 'h' | 'min' | 'W/W' | '1/kW' | 'W/%' | 'Wh/%';

/** What the figure rests on, and so what it may be held against. */
export type Against = 'ownWatts' | 'meter' | 'batterySensors' | 'percents' | 'clock' | 'clearSky' | 'eachOther';

export interface BudgetLine {
  readonly source: Source;
  readonly kind: 'A' | 'B';
  readonly shape: Term['shape'];
  /** In the figure's unit. */
  readonly standardUncertainty: number;
  /** null: taken as known. */
  readonly freedom: number | null;
  /** Of the combined variance, 0 to 1. */
  readonly share: number;
  readonly shared: string | null;
  /** Effect with its sign, for comparisons. */
  readonly effect: number;
}

export interface Figure {
  readonly what: FigureName;
  /** Of a load or a point: at how many watts; else null. */
  readonly atW: number | null;
  readonly value: number;
  readonly unit: FigureUnit;
  readonly low95: number;
  readonly high95: number;
  readonly standardUncertainty: number;
  /** Half the range over the standard uncertainty. */
  readonly coverageFactor: number;
  /** Welch-Satterthwaite; null: infinite. */
  readonly effectiveFreedom: number | null;
  readonly against: Against;
  readonly budget: readonly BudgetLine[];
}

const finite = (x: number): number | null => (Number.isFinite(x) ? x : null);

/** Lines of a budget, the widest first. */
export function budgetOf(terms: readonly Term[]): BudgetLine[] {
  const variance = combined(terms) ** 2;
  return terms
    .filter(t => t.effect !== 0)
    .map(t => ({
      source: t.source,
      kind: t.kind,
      shape: t.shape,
      standardUncertainty: Math.abs(t.effect),
      freedom: finite(t.freedom),
      share: variance === 0 ? 0 : t.effect ** 2 / variance,
      shared: t.shared,
      effect: t.effect,
    }))
    .sort((a, b) => b.share - a.share);
}

/** Lines of one source and shape as one, for whoever reads them: sixty bridged gaps are one cause. The widest first. */
export function budgetTogether(
  budget: readonly BudgetLine[],
): Pick<BudgetLine, 'source' | 'kind' | 'shape' | 'standardUncertainty' | 'share'>[] {
  const kinds = new Map<string, BudgetLine[]>();
  for (const line of budget) {
    const key = `${line.source} ${line.kind} ${line.shape}`;
    kinds.set(key, [...(kinds.get(key) ?? []), line]);
  }
  return [...kinds.values()]
    .map(lines => ({
      source: lines[0]!.source,
      kind: lines[0]!.kind,
      shape: lines[0]!.shape,
      standardUncertainty: Math.hypot(...lines.map(line => line.standardUncertainty)),
      share: lines.reduce((sum, line) => sum + line.share, 0),
    }))
    .sort((a, b) => b.share - a.share);
}

/** A figure of these terms. */
export function figureOf(
  what: FigureName,
  value: number,
  unit: FigureUnit,
  against: Against,
  terms: readonly Term[],
  atW: number | null = null,
): Figure {
  const standardUncertainty = combined(terms);
  const half = halfWidth95(terms);
  return {
    what,
    atW,
    value,
    unit,
    low95: value - half,
    high95: value + half,
    standardUncertainty,
    coverageFactor: standardUncertainty === 0 ? 2 : half / standardUncertainty,
    effectiveFreedom: finite(effectiveFreedom(terms)),
    against,
    budget: budgetOf(terms),
  };
}

/** The terms a figure was made of. */
export const termsOf = (figure: Figure): Term[] =>
  figure.budget.map(line => ({
    source: line.source,
    kind: line.kind,
    shape: line.shape,
    effect: line.effect,
    freedom: line.freedom ?? Number.POSITIVE_INFINITY,
    shared: line.shared,
  }));
