import { expect, test } from 'vitest';
import { killRounds } from '../support/kill-rounds.ts';
import { freshFolder } from '../support/record.ts';

test('kill -9 at any moment loses nothing acknowledged and counts nothing twice', async () => {
  const seed = Date.now() % 2 ** 31;
  console.log(`kill rounds: seed ${seed}`);
  expect(await killRounds(freshFolder(), 10, seed)).toBeGreaterThanOrEqual(10);
}, 60_000);
