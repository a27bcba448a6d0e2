/**
 * `npm run backtest -- aim [FOLDER] [--walks N]`: pairs of spots in steady, hazy and broken skies on the plant, and where a folder
 * with measured irradiance is given on that too; what was said against the truth, beside the rule that higher watts win.
 */
import type { Judged } from './judged.ts';
import { judgeWalk } from './judged.ts';
import { SKY_KINDS } from './skies.ts';
import { confusion, truthBySaid } from './tables.ts';
import { drawWalk } from './walks.ts';

/** Fixed before the first look. */
const FIRST_SEED = 40_000;

/** Walks on the plant, a third of them under each sky. */
export function plantWalks(walks: number, firstSeed = FIRST_SEED): Judged[] {
  return Array.from({ length: walks }, (_, k) => judgeWalk(drawWalk(firstSeed + k, SKY_KINDS[k % SKY_KINDS.length]!)));
}

export function backtestAim(walks: number, print: (title: string, rows: readonly string[][]) => void): void {
  const judged = plantWalks(walks);
  print(`${walks} walks on the plant`, confusion(judged));
  for (const kind of SKY_KINDS)
    print(`said 60 s after being put down, ${kind} sky`, truthBySaid(judged.filter(j => j.walk.kind === kind)));
}
