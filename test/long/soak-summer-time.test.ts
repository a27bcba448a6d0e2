import { expect, test } from 'vitest';
import { expectWholeSeason } from '../support/soak/expect-season.ts';
import { liveSeason } from '../support/soak/season.ts';

// As `soak`, which is longer. The day summer time begins in Berlin, 29 March, is the second of the two.
test('two days at full speed through the agent, whatever goes wrong, are told as they were delivered', async () => {
  const options = {
    startAt: Date.UTC(2026, 2, 28),
    days: 2,
    seed: 4,
    checkEveryDays: 2,
    projectEveryMs: 4 * 3_600_000,
  };
  const lived = await liveSeason(options);
  expectWholeSeason(lived, 2 * options.days);
  expect(lived.stations.shed!.days.map(({ startMs, endMs }) => (endMs - startMs) / 3_600_000)).toContain(23);
  expect(lived.readings).toBeGreaterThan(8000);
});
