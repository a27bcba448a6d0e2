/**
 * `npm run backtest -- aim [FOLDER] [--walks N]`: pairs of spots in steady, hazy and broken skies on the plant, and, where
 * a folder holds measured irradiance or power, on that too; what was said against the truth, beside the rule that higher
 * watts win.
 */
import { type Judged, judgeWalk } from './judged.ts';
import { brokenDay, clearDay, powerDays } from './measured.ts';
import { walkUnder, walkWithPower } from './measured-walks.ts';
import { SKY_KINDS } from './skies.ts';
import { confusion, held, truthBySaid } from './tables.ts';
import { anywhere, drawWalk, type Walk } from './walks.ts';

type Print = (title: string, rows: readonly string[][]) => void;

/** Fixed before the first look; what was tuned was tuned on others. */
export const FIRST_SEED = 40_000;
const PROGRESS_MS = 10_000;

/** The walks of a back-test, a third of them under each sky. */
export const plantWalk = (k: number, firstSeed = FIRST_SEED): Walk =>
  drawWalk(firstSeed + k, anywhere(SKY_KINDS[k % SKY_KINDS.length]!));

function judgeAll(walks: readonly Walk[]): Judged[] {
  let saidAt = performance.now();
  return walks.map((walk, k) => {
    if (performance.now() - saidAt > PROGRESS_MS) {
      saidAt = performance.now();
      console.error(`${k} of ${walks.length} walks`);
    }
    return judgeWalk(walk);
  });
}

/** Walks under what was measured, as many of each as there are files for. */
function measuredWalks(folder: string, walks: number): Walk[] {
  const skies = [brokenDay(folder), clearDay(folder)].filter(day => day !== null);
  const powers = powerDays(folder);
  const kinds = skies.length + powers.length;
  return Array.from({ length: kinds === 0 ? 0 : walks }, (_, k) => {
    const day = k % kinds;
    const seed = FIRST_SEED + 1_000_000 + k;
    return day < skies.length ? walkUnder(skies[day]!, seed) : walkWithPower(powers[day - skies.length]!, seed);
  });
}

export function backtestAim(walks: number, folder: string | null, print: Print): void {
  report(`${walks} walks on the plant`, judgeAll(Array.from({ length: walks }, (_, k) => plantWalk(k))), print);
  if (folder === null) return;
  const measured = measuredWalks(folder, walks);
  if (measured.length === 0) console.log(`nothing measured that is known of in ${folder}`);
  else report(`${measured.length} walks under what was measured`, judgeAll(measured), print);
}

function report(title: string, judged: readonly Judged[], print: Print): void {
  print(title, confusion(judged));
  print('range of 95 %', held(judged));
  for (const kind of new Set(judged.map(j => j.walk.kind)))
    print(
      `said by 60 s, ${kind} (rows: truth under a clear sky)`,
      truthBySaid(judged.filter(j => j.walk.kind === kind)),
    );
}
