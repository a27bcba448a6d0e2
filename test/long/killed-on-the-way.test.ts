/** Each kind of work on a record, killed before many of its calls to the disk: the first ones, then ever wider apart. */
import { describe, expect } from 'vitest';
import { killOnTheWay, type Work } from '../support/killed-on-the-way.ts';
import { needs } from '../support/needs.ts';

function* calls(): Generator<number> {
  for (let at = 1; ; at = Math.ceil(at * 1.35)) yield at;
}

const LEAST: Record<Work, number> = { open: 2, tend: 12, older: 8, snapshot: 5, rescue: 10 };

describe('kill -9 before call N', () => {
  for (const [work, least] of Object.entries(LEAST) as [Work, number][])
    needs('cc')(`of work to "${work}" leaves the record as it was or as it is to be`, () => {
      const kills = killOnTheWay(work, calls());
      console.log(`${work}: killed ${kills} times`);
      expect(kills).toBeGreaterThanOrEqual(least);
    });
});
