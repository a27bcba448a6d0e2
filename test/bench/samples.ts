/**
 * Medians of rounds that take turns: product and floor are measured alternately, the order turning with each round, so
 * that whatever else the machine does falls on both.
 */

/** The value below which the share `p` (0 to 1) lies; nearest rank. NaN of nothing. */
export function quantile(values: readonly number[], p: number): number {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.min(sorted.length - 1, Math.max(0, Math.ceil(p * sorted.length) - 1))] ?? Number.NaN;
}

export const median = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const middle = sorted.length / 2;
  return Number.isInteger(middle) ? (sorted[middle - 1]! + sorted[middle]!) / 2 : sorted[Math.floor(middle)]!;
};

type Outcomes<C extends Record<string, () => unknown>> = { [K in keyof C]: Awaited<ReturnType<C[K]>>[] };

/** Runs every contestant once a round, each round beginning with the next one; answers with their outcomes in order. */
export async function takeTurns<C extends Record<string, () => unknown>>(
  rounds: number,
  contestants: C,
): Promise<Outcomes<C>> {
  const names = Object.keys(contestants) as (keyof C)[];
  const outcomes = Object.fromEntries(names.map(name => [name, [] as unknown[]])) as Outcomes<C>;
  for (let round = 0; round < rounds; round++) {
    for (let turn = 0; turn < names.length; turn++) {
      const name = names[(round + turn) % names.length]!;
      outcomes[name].push((await contestants[name]!()) as Outcomes<C>[keyof C][number]);
    }
  }
  return outcomes;
}

/** Median over the rounds of each round's own quantile. */
export const ofRounds = (rounds: readonly (readonly number[])[], p: number): number =>
  median(rounds.map(values => quantile(values, p)));
