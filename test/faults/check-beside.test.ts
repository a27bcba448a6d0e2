import { dirname } from 'node:path';
import { expect, test } from 'vitest';
import { checkBeside } from '../../agent/commands/run/damaged.ts';
import { hasDamageSign } from '../../agent/store/keep/damage.ts';
import { built } from '../support/built.ts';
import { destroy, pagesIn } from '../support/damage.ts';
import { openTestRecord } from '../support/record.ts';
import { folderOfDays } from '../support/sealed-days.ts';

const dist = dirname(dirname(built('program/main.js')));

/** Runs the check to its end; gives what it wrote in the log. */
async function checked(dir: string): Promise<string[]> {
  const said: string[] = [];
  const order = { dir, demo: false, nowMs: 0, stations: [] };
  const log = { error: (_: string, text: string) => void said.push(text) } as unknown as Parameters<
    typeof checkBeside
  >[2];
  const end = checkBeside(dist, order, log, 0);
  for (let tries = 0; tries < 300 && said.length === 0; tries++) await new Promise(resolve => setTimeout(resolve, 50));
  await end();
  return said;
}

test('a large record is checked beside the agent: damage is told and leaves a sign for the next start', async () => {
  const dir = folderOfDays(12);
  destroy(dir, [Math.floor(pagesIn(dir) / 2)]);
  expect(await checked(dir)).toEqual([expect.stringMatching(/^The record is damaged\. Start the agent again/)]);
  expect(hasDamageSign(dir)).toBe(true);
  expect(() => openTestRecord(dir)).toThrow(expect.objectContaining({ code: 'RECORD_DAMAGED' }));
});
