import { expect, it } from 'vitest';
import { slowTold } from '../../agent/commands/agent-words.ts';
import { createPace } from '../../agent/commands/run/pace.ts';

it('a disk that is slow several times in a row is told with its seconds and what to do, until it is quick again', () => {
  let nowMs = 0;
  const pace = createPace(() => nowMs);
  const save = (spanMs: number) =>
    pace.during(() => {
      nowMs += spanMs;
    });
  for (const spanMs of [2000, 2000, 40, 2000, 2000]) save(spanMs);
  expect(slowTold(pace.slowMs())).toEqual([]);
  // One that fails has taken as long.
  const failing = () => {
    nowMs += 2200;
    throw new Error('full');
  };
  expect(() => pace.during(failing)).toThrow('full');
  expect(slowTold(pace.slowMs())).toEqual([expect.stringMatching(/^Saving takes 2 s .*slow.*Nothing is lost.*--data/)]);
  save(900);
  expect(slowTold(pace.slowMs())).toEqual([]);
});
