/**
 * What a bench reports: a median, the goal it is held to, and the floor: what the same machine did in the same run with
 * nothing of ours in the way.
 */

export interface Figure {
  readonly name: string;
  readonly unit: string;
  /** null where it could not be measured; `note` says why. */
  readonly value: number | null;
  readonly floor?: number;
  /** What the floor is, in words. */
  readonly floorIs?: string;
  readonly goal?: Goal;
  /** How many measurements stand behind the value, in words. */
  readonly samples?: string;
  readonly note?: string;
}

export interface Goal {
  /** The value is to be no more than this. */
  readonly limit: number;
  /** How the limit came about: `≤ 1.6 × floor`. */
  readonly text: string;
}

export interface Bench {
  readonly name: string;
  readonly title: string;
  /** @param say takes a line of progress */
  run(say: (line: string) => void): Promise<Figure[]>;
}

export const atMost = (limit: number, text = `≤ ${limit}`): Goal => ({ limit, text });
export const atMostTimes = (factor: number, floor: number): Goal => ({
  limit: factor * floor,
  text: `≤ ${factor} × floor`,
});

export const unmeasured = (name: string, why: string): Figure => ({ name, unit: '', value: null, note: why });

export const isMissed = ({ value, goal }: Figure): boolean =>
  value !== null && goal !== undefined && value > goal.limit;
