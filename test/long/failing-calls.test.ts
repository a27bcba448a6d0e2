/** Each flush and each write in turn fails, once, a few times or for ever; a thousand logs torn by a power cut. */
import { describe, expect, test } from 'vitest';
import { writeThroughFailure } from '../support/failing-calls.ts';
import { needs } from '../support/needs.ts';
import { tearLogs } from '../support/torn-logs.ts';

describe('a disk that fails at call N', () => {
  needs('cc')('loses nothing acknowledged and counts nothing twice, for every N', async () => {
    let refused = 0;
    for (const what of ['flush', 'write', 'both'] as const)
      for (const times of [1, 3, 0])
        for (let at = 1; at <= 60; at += times === 0 ? 6 : 3)
          refused += (await writeThroughFailure({ at, times, what, growing: at % 2 === 0 })).length;
    expect(refused).toBeGreaterThan(100);
  });
});

test('a thousand torn logs open to whole commits with their totals', async () => {
  await tearLogs(1000);
});
