/** Planned loads and losses for tests of Plan. */
import type { Losses } from '#energy/estimates/plan/converter';
import type { PlannedLoad } from '#energy/estimates/plan/planned-load';

export const planned = (name: string, powerW: number, more: Partial<PlannedLoad> = {}): PlannedLoad => ({
  name,
  powerW,
  startFactor: 1,
  hoursPerDay: 24,
  count: 1,
  mustStayOn: false,
  ...more,
});

/** As believed from the label alone. */
export const labelLosses = (over: Partial<Losses> = {}): Losses => ({
  mean: [1.11, 11, 0.95],
  covariance: [(1.11 * 0.06) ** 2, 0, 0, 0, (11 * 0.4) ** 2, 0, 0, 0, (0.95 * 0.05) ** 2],
  knownToW: null,
  continuousW: null,
  ...over,
});

/** Known to the watt. */
export const exactLosses = (outCost: number, ownW: number, over: Partial<Losses> = {}): Losses => ({
  mean: [outCost, ownW, 0.95],
  covariance: new Array<number>(9).fill(0),
  knownToW: null,
  continuousW: null,
  ...over,
});
