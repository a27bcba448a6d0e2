/** Figures held against hidden true values: how often the range of 95 % held, and how far the value was off. */
import type { Figure } from '#energy/estimates/trials/figure';

export interface Held {
  readonly name: string;
  readonly truth: number;
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

export const heldOf = (name: string, figure: Figure | undefined, truth: number): Held[] =>
  figure === undefined ? [] : [{ name, truth, value: figure.value, low: figure.low95, high: figure.high95 }];

export interface Tally {
  readonly name: string;
  readonly count: number;
  readonly heldShare: number;
  /** Of the error, without sign, in the figure's unit. */
  readonly medianError: number;
  readonly p95Error: number;
  readonly medianErrorPct: number;
  readonly p95ErrorPct: number;
  readonly meanErrorPct: number;
  /** Half the range, % of the value, in the middle. */
  readonly halfPct: number;
}

const quantile = (of: readonly number[], share: number): number => {
  const sorted = [...of].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))] ?? Number.NaN;
};

/** One line a name, in the order they first came. */
export function tallies(held: readonly Held[]): Tally[] {
  return [...new Set(held.map(h => h.name))].map(name => {
    const of = held.filter(h => h.name === name);
    const errors = of.map(h => Math.abs(h.value - h.truth));
    const shares = of.map(h => Math.abs((100 * (h.value - h.truth)) / h.truth));
    return {
      name,
      count: of.length,
      heldShare: of.filter(h => h.low <= h.truth && h.truth <= h.high).length / of.length,
      medianError: quantile(errors, 0.5),
      p95Error: quantile(errors, 0.95),
      medianErrorPct: quantile(shares, 0.5),
      p95ErrorPct: quantile(shares, 0.95),
      meanErrorPct: of.reduce((sum, h) => sum + (100 * (h.value - h.truth)) / h.truth, 0) / of.length,
      halfPct: quantile(
        of.map(h => (50 * (h.high - h.low)) / h.value),
        0.5,
      ),
    };
  });
}
