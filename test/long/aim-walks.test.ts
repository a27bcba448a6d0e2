import { describe, expect, it } from 'vitest';
import { judgeWalk } from '../backtest/aiming/judged.ts';
import { plantWalk } from '../backtest/aiming/run.ts';
import { SAID, tally } from '../backtest/aiming/tables.ts';

const WALKS = 1000;
const LONG_MS = 1_800_000;

describe('a thousand walks over the plant', () => {
  it(
    'are told right 19 times in 20, great differences under a steady sky within a minute 9 times in 10',
    () => {
      const judged = Array.from({ length: WALKS }, (_, k) => judgeWalk(plantWalk(k)));
      for (const [name, said] of SAID.slice(0, 3)) {
        const { right, wrong } = tally(judged, said);
        expect([name, right / (right + wrong) >= 0.95, right > 250]).toEqual([name, true, true]);
      }
      const [, byMinute] = SAID[0]!;
      const steady = tally(
        judged.filter(j => j.walk.kind === 'steady'),
        byMinute,
      );
      expect(steady.differDecided / steady.differ).toBeGreaterThanOrEqual(0.9);
      const broken = tally(
        judged.filter(j => j.walk.kind === 'broken'),
        byMinute,
      );
      expect(broken.wrong).toBeLessThan(0.02 * broken.walks);
      expect(broken.undecided).toBeGreaterThan(0.7 * broken.walks);
    },
    LONG_MS,
  );
});
