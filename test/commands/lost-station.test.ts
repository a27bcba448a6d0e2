import { expect, test } from 'vitest';
import { watchedStation } from '../support/watched-station.ts';

test('a lost station ends its promise at once, costs no projection at a try, and is promised anew once it is back', () => {
  const { published, live, phase } = watchedStation(60_000);
  phase('live');
  live(3);
  const projections = () => published.flatMap(({ message }) => (message.type === 'projection' ? [message] : []));
  let before = projections().length;
  const added = () => {
    const count = projections().length - before;
    before += count;
    return count;
  };
  phase('retrying');
  expect(added()).toBe(1);
  expect(projections().at(-1)!.projection.why).toBe('stale');
  for (let i = 0; i < 20; i++) {
    phase('connecting');
    phase('retrying');
  }
  expect(added()).toBe(0);
  phase('live');
  expect(added()).toBe(1);
  expect(projections().at(-1)!.projection.why).not.toBe('stale');
});
