/** Forty destroyed pages, one at a time and several at once, of a record with every page of its kind. */
import { cpSync } from 'node:fs';
import { expect, test } from 'vitest';
import { rescueRecord } from '../../agent/store/keep/rescue.ts';
import { destroy, makeNoisy, pagesIn } from '../support/damage.ts';
import { seededRandom } from '../support/kill-rounds.ts';
import { freshFolder, openTestRecord, START_AT } from '../support/record.ts';

test('of forty records with a destroyed page each all readings of other pages are rescued', () => {
  const noisy = freshFolder();
  const readings = makeNoisy(noisy, 30);
  const seed = Date.now() % 2 ** 31;
  console.log(`destroyed pages: seed ${seed}`);
  const random = seededRandom(seed);
  const shares: number[] = [];
  for (let round = 0; round < 40; round++) {
    const dir = freshFolder();
    cpSync(noisy, dir, { recursive: true });
    destroy(dir, [1 + Math.floor(random() * pagesIn(dir))]);
    const rescued = rescueRecord(dir, ['shed'], START_AT);
    const record = openTestRecord(dir);
    expect(record.check()).toEqual([]);
    let count = 0;
    // Where a block is gone its minutes may be left: they are told as means, and are no readings that were rescued.
    for (const { meanOverMs } of record.readings('shed', 0, 8e15)) if (meanOverMs === undefined) count++;
    record.close();
    expect(count).toBe(rescued.readings);
    shares.push(count / readings);
  }
  const mean = shares.reduce((sum, share) => sum + share, 0) / shares.length;
  console.log(`rescued: mean ${(100 * mean).toFixed(2)} %, worst ${(100 * Math.min(...shares)).toFixed(2)} %`);
  expect(mean).toBeGreaterThanOrEqual(0.99);
  // 360 hours of some pages each: one page holds at most three of them.
  expect(Math.min(...shares)).toBeGreaterThanOrEqual(1 - 3 / 360);
});
