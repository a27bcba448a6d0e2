/**
 * Two stations at full speed through the agent, in a process of its own with the memory `npm start` gives it: a fortnight;
 * `SOAK_DAYS=120` for a season, which takes a quarter of an hour on a busy machine.
 */
import { expect, test } from 'vitest';
import { startChild } from '../support/child.ts';
import { expectNoGrowth, expectWholeSeason } from '../support/soak/expect-season.ts';
import type { Checkpoint, Lived } from '../support/soak/season.ts';

const DAYS = Number(process.env.SOAK_DAYS ?? 14);
/** Of both stations together, whatever befalls them. */
const CALLS_A_DAY = 1;
/** Habits, the clear sky and the eight days that are looked back on fill up first, then raw readings. */
const WARM_UP_DAYS = Math.max(8, DAYS / 3);
const SEED = 23;
const IS_SEASON = DAYS >= 60;
/** Compiled code and freed pages go up and down by ten megabytes for weeks; only a season shows whether they rise. */
const MOST_GROWTH = { heldMB: 5, residentMB: IS_SEASON ? 5 : 20 };

test('a life of two stations is told as it was delivered, in a memory that does not grow', async () => {
  // Summer time ends a week before its end, on 25 October.
  const options = { startAt: Date.UTC(2026, 10, 1) - DAYS * 86_400_000, days: DAYS, seed: SEED, checkEveryDays: 1 };
  const child = startChild('test/support/soak/child.ts', [JSON.stringify(options)], {
    flags: ['--max-semi-space-size=1', '--v8-pool-size=1'],
    // As the service has it: what is free is handed back, so that what is resident tells what is held.
    env: { MALLOC_TRIM_THRESHOLD_: '65536', MALLOC_MMAP_THRESHOLD_: '65536' },
  });
  const seen: Checkpoint[] = [];
  let lived: Lived | null = null;
  for (let line = await child.line(); line !== null; line = await child.line()) {
    const told = JSON.parse(line) as { seen?: Checkpoint; lived?: Lived };
    if (told.seen !== undefined) seen.push(told.seen);
    lived = told.lived ?? lived;
  }
  expect([await child.ended(), child.stderr()]).toEqual([0, '']);
  expectWholeSeason(lived!, CALLS_A_DAY * DAYS);
  for (const { rawBefore, days } of Object.values(lived!.stations)) {
    // Raw readings of a month are kept; minutes and totals for ever.
    expect(rawBefore).toBe(0);
    expect(days.length).toBeGreaterThanOrEqual(DAYS);
  }
  const { readings, happened, calls, floors, fileBytes, walBytes } = lived!;
  const told = { readings, happened, calls, floors, fileMB: fileBytes / 1e6, walMB: walBytes / 1e6 };
  console.log(`season: ${JSON.stringify(told)}`);
  expectNoGrowth(seen, WARM_UP_DAYS, MOST_GROWTH);
}, 3_600_000);
