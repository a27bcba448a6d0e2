import { expect, test } from 'vitest';
import { killRounds } from '../support/kill-rounds.ts';
import { freshFolder } from '../support/record.ts';

test('a hundred kills in a row over one record lose nothing acknowledged and count nothing twice', async () => {
  const seed = Date.now() % 2 ** 31;
  console.log(`kill rounds: seed ${seed}`);
  expect(await killRounds(freshFolder(), 100, seed)).toBeGreaterThanOrEqual(100);
});
