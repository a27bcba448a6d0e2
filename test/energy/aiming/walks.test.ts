import { expect, it } from 'vitest';
import { judgeWalk } from '../../backtest/aiming/judged.ts';
import { plantWalk } from '../../backtest/aiming/run.ts';
import { SAID, tally } from '../../backtest/aiming/tables.ts';

/** The first walks of `npm run backtest -- aim`, which judges a thousand, every second, and there and back again. */
const WALKS = 150;

it('better and worse are right on walks over the plant, and told in time; what lies under clouds is not ranked', () => {
  const judged = Array.from({ length: WALKS }, (_, k) =>
    judgeWalk(plantWalk(k), { askEveryMs: 2000, goesBack: false }),
  );
  const under = (kind: string) => judged.filter(j => j.walk.kind === kind);
  const [byMinute, ever, , naive] = SAID.map(([, said]) => said);
  for (const said of [byMinute!, ever!]) {
    const all = tally(judged, said);
    expect(all.right + all.wrong).toBeGreaterThan(WALKS / 5);
    expect(all.right / (all.right + all.wrong)).toBeGreaterThanOrEqual(0.95);
  }
  const steady = tally(under('steady'), byMinute!);
  expect(steady.differDecided / steady.differ).toBeGreaterThanOrEqual(0.9);
  const broken = tally(under('broken'), byMinute!);
  expect(broken.wrong).toBeLessThanOrEqual(1);
  expect(broken.undecided).toBeGreaterThan(0.6 * broken.walks);
  // The rule that higher watts win is often wrong under the same skies.
  const plain = tally(judged, naive!);
  expect(plain.wrong).toBeGreaterThan(5 * tally(judged, byMinute!).wrong);
});
