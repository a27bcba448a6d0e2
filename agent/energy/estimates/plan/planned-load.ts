/** A load one thinks of running, and sums over a list of them. Powers W, energies Wh. */

export interface PlannedLoad {
  name: string;
  /** While it runs. */
  powerW: number;
  /** What it draws for a moment when it starts, as a multiple of `powerW`; 1 or more. */
  startFactor: number;
  /** All its runs of a day together, 0-24. */
  hoursPerDay: number;
  count: number;
  /** Cannot be left off. */
  mustStayOn: boolean;
}

export const dutyOf = (load: PlannedLoad): number => Math.min(1, Math.max(0, load.hoursPerDay / 24));
export const runningW = (load: PlannedLoad): number => load.powerW * load.count;
export const meanW = (load: PlannedLoad): number => runningW(load) * dutyOf(load);
/** All of a kind at the same moment. */
export const startingW = (load: PlannedLoad): number => runningW(load) * Math.max(1, load.startFactor);

const sum = (of: (load: PlannedLoad) => number) => (loads: readonly PlannedLoad[]) =>
  loads.reduce((total, load) => total + of(load), 0);
export const totalRunningW = sum(runningW);
export const totalMeanW = sum(meanW);
export const totalStartingW = sum(startingW);
/** What the loads use in a day, Wh at the outlets. */
export const dayWh = (loads: readonly PlannedLoad[]): number => 24 * totalMeanW(loads);
