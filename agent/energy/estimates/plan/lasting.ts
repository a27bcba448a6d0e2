/**
 * How long the battery alone carries a list of loads, as a range: losses, gauge and loads drawn together from what is
 * believed of them, each draw followed to the floor at the list's mean. The draws are the same ones each time, and each
 * lasts shorter with more load, so the range does too. Hours.
 */
import { createChance } from '../chance.ts';
import { createPoints } from '../low-discrepancy.ts';
import { normalQuantile } from '../normal.ts';
import { type Losses, squareW } from './converter.ts';
import { dutyOf, meanW, type PlannedLoad, runningW } from './planned-load.ts';

const DRAWS = 400;
/** Spread of a load's mean from what the list says, as of a logarithm (own judgement; fridges vary by 2-14 % from day to day). */
export const LOAD_SPREAD = 0.12;
/** Of the label: a station may hold more than it says. One that is on draws something. */
const LEAST_COST = 0.3;
const LEAST_OWN_W = 0.5;

export interface Range {
  p10: number;
  p50: number;
  p90: number;
}

/** Energy between two states of charge, Wh of the label, with its standard deviation. */
export interface Stored {
  energyWh: number;
  sdWh: number;
}

/** One way it could be: energy to use, losses, and a factor for each load. */
interface Draw {
  energyWh: number;
  outCost: number;
  ownW: number;
}

/** Smallest value that at least `share` of the sorted values do not pass. */
export const quantile = (sorted: readonly number[], share: number): number =>
  sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(share * sorted.length) - 1))]!;

export function rangeOf(values: readonly number[]): Range {
  const sorted = [...values].sort((a, b) => a - b);
  return { p10: quantile(sorted, 0.1), p50: quantile(sorted, 0.5), p90: quantile(sorted, 0.9) };
}

/** Hours from what is stored to the floor. */
export function lastingHours(loads: readonly PlannedLoad[], losses: Losses, stored: Stored): Range {
  const drained = drains(loads, losses);
  return rangeOf(draws(losses, stored).map((draw, i) => draw.energyWh / drained(draw, i)));
}

/** What leaves the battery a day, Wh of the label. */
export function needWh(loads: readonly PlannedLoad[], losses: Losses): Range {
  const drained = drains(loads, losses);
  return rangeOf(draws(losses, { energyWh: 1, sdWh: 0 }).map((draw, i) => 24 * drained(draw, i)));
}

/** Mean drain of one draw, W of the label. */
function drains(loads: readonly PlannedLoad[], losses: Losses) {
  const factors = loads.map(load => factorsOf(load.name));
  // At the square term's own watts: a kettle works the converter hard while it runs, not on average.
  const extraW = loads.reduce((sum, load) => sum + dutyOf(load) * squareW(losses, runningW(load)), 0);
  return ({ outCost, ownW }: Draw, i: number): number =>
    ownW + extraW + outCost * loads.reduce((sum, load, k) => sum + meanW(load) * factors[k]![i]!, 0);
}

function draws({ mean, covariance }: Losses, { energyWh, sdWh }: Stored): Draw[] {
  const point = createPoints(3);
  // Cholesky of the covariance of cost and own draw.
  const costSd = Math.sqrt(Math.max(0, covariance[0]!));
  const shared = costSd > 0 ? covariance[1]! / costSd : 0;
  const ownSd = Math.sqrt(Math.max(0, covariance[4]! - shared ** 2));
  return Array.from({ length: DRAWS }, (_, i) => {
    const [a, b, c] = point(i).map(normalQuantile) as [number, number, number];
    return {
      energyWh: Math.max(0, energyWh + sdWh * a),
      outCost: Math.max(LEAST_COST, mean[0] + costSd * b),
      ownW: Math.max(LEAST_OWN_W, mean[1] + shared * b + ownSd * c),
    };
  });
}

/** The same for the same name, whatever else is on the list. */
function factorsOf(name: string): number[] {
  let seed = 7;
  for (const letter of name) seed = (31 * seed + letter.codePointAt(0)!) % 1_000_003;
  const chance = createChance(seed);
  return Array.from({ length: DRAWS }, () => Math.exp(LOAD_SPREAD * chance.normal()));
}
