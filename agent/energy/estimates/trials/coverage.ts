/**
 * How wide a range about a figure must be to hold 95 %: the distributions of all terms are put together (JCGM 101:2008,
 * propagation of distributions) by multiplying their characteristic functions and inverting the product once, so without
 * draws; what rests on few readings is widened by Student's t at the effective degrees of freedom (JCGM 100:2008, G.4.1,
 * Welch-Satterthwaite). Where all terms are normal this is t95 times the combined uncertainty, as G.6.4 has it; where one
 * rectangular term leads it is 1.65 times, as G.6.5 has it. Clauses from memory.
 */
import { studentFactor } from './student.ts';
import type { Term } from './terms.ts';

export const COVERAGE = 0.95;
const NORMAL_FACTOR = 1.959964;
/** Smooths corners so that the inversion ends soon: adds 0.02 % to the combined uncertainty. */
const SMOOTH = 0.02;

/** Root of the sum of squares (5.1.2). */
export const combined = (terms: readonly Term[]): number => Math.hypot(...terms.map(t => t.effect));

/** Welch-Satterthwaite: u⁴ / Σ uᵢ⁴ / νᵢ. Infinity where nothing rests on scatter. */
export function effectiveFreedom(terms: readonly Term[]): number {
  const sum = terms.reduce((all, t) => all + (Number.isFinite(t.freedom) ? t.effect ** 4 / t.freedom : 0), 0);
  return sum === 0 ? Number.POSITIVE_INFINITY : combined(terms) ** 4 / sum;
}

/** Characteristic function of one term at t. */
function characteristic({ shape, effect }: Term, t: number): number {
  switch (shape) {
    case 'rectangular': {
      const x = Math.sqrt(3) * effect * t;
      return Math.abs(x) < 1e-6 ? 1 : Math.sin(x) / x;
    }
    case 'triangular': {
      const x = (Math.sqrt(6) / 2) * effect * t;
      return Math.abs(x) < 1e-6 ? 1 : (Math.sin(x) / x) ** 2;
    }
    case 'threeWay':
      return (1 + 2 * Math.cos((Math.sqrt(6) / 2) * effect * t)) / 3;
    default:
      return Math.exp(-0.5 * (effect * t) ** 2);
  }
}

const REACH: Record<Term['shape'], number> = {
  normal: 6,
  rectangular: Math.sqrt(3),
  triangular: Math.sqrt(6),
  threeWay: Math.sqrt(6) / 2,
};

/** Half the width of the range that holds 95 %, in the figure's unit. */
export function halfWidth95(terms: readonly Term[]): number {
  const all = combined(terms);
  if (all === 0) return 0;
  const normal = terms.filter(t => t.shape === 'normal');
  const others = terms.filter(t => t.shape !== 'normal' && Math.abs(t.effect) > 1e-3 * all);
  const normalU = combined(normal);
  const widened = normalU * (studentFactor(COVERAGE, effectiveFreedom(normal)) / NORMAL_FACTOR);
  if (others.length === 0) return widened * NORMAL_FACTOR;
  const smooth = Math.hypot(widened, SMOOTH * all);
  const reach = others.reduce((sum, t) => sum + Math.abs(t.effect) * REACH[t.shape], 6 * smooth);
  const step = (2 * Math.PI) / (reach + 4 * Math.hypot(all, widened));
  const product: number[] = [];
  for (let k = 1; k * step * smooth < 5; k++) {
    let value = Math.exp(-0.5 * (smooth * k * step) ** 2);
    for (const of of others) value *= characteristic(of, k * step);
    product.push(value / k);
  }
  return solveWidth(product, step, reach);
}

/** P(|X| ≤ U) = 2/π ∫ φ(t) sin(U t) / t dt by the trapezium rule, solved for U by halving. */
function solveWidth(product: readonly number[], step: number, reach: number): number {
  const within = (u: number): number => {
    let sum = (u * step) / 2;
    for (let k = 0; k < product.length; k++) sum += product[k]! * Math.sin(u * step * (k + 1));
    return (2 / Math.PI) * sum;
  };
  let [low, high] = [0, reach];
  for (let k = 0; k < 26; k++) {
    const middle = (low + high) / 2;
    if (within(middle) < COVERAGE) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
