/**
 * How far the level of the load may lie from the past's, as a standard deviation of its logarithm: the wider the further
 * ahead, the shorter the past and the more its quarters differ. Form and constants: own judgement, fitted to 96 recorded
 * discharges under household loads.
 */
import type { Past } from './minutes.ts';

const NOW = 0.05;
const BASE = 0.1;
const APART = 0.8;
/** Spread of quarters taken for granted before any was seen, counted as two of them. */
const APART_PRIOR = 0.2;
const SOFTENING_W = 5;

/** One value a step ahead. */
export function levelSpread(past: Past, first: number, stepMin: number, steps: number): Float64Array {
  const historyH = (past.count - first) / 60;
  const growth = BASE + APART * quartersApart(past, first);
  const spread = new Float64Array(steps);
  for (let i = 0; i < steps; i++) {
    const aheadH = ((i + 1) * stepMin) / 60;
    spread[i] = NOW + growth * Math.sqrt(aheadH / (aheadH + historyH + 0.25));
  }
  return spread;
}

/** Standard deviation of the logarithms of the quarters' mean loads, shrunk toward the prior. */
function quartersApart({ outputW, count }: Past, first: number): number {
  const n = count - first;
  const edge = (q: number) => first + Math.floor((q * n) / 4);
  const logs = [0, 1, 2, 3].map(q => {
    const from = edge(q);
    const to = Math.max(edge(q + 1), from + 1);
    let sum = 0;
    for (let i = from; i < to; i++) sum += outputW[i]!;
    return Math.log(sum / (to - from) + SOFTENING_W);
  });
  const mean = logs.reduce((a, b) => a + b, 0) / 4;
  const squares = logs.reduce((sum, x) => sum + (x - mean) ** 2, 0);
  return Math.sqrt((squares + 2 * APART_PRIOR ** 2) / 5);
}
