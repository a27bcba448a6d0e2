import { expect, test } from 'vitest';
import { createPending } from '../../agent/commands/run/pending.ts';
import { dayDelta } from '../support/record.ts';

test('a batch that was given out stays as it is, whatever comes while it is saved', () => {
  const pending = createPending();
  const { station, ...part } = dayDelta({ solarMilliJ: 5, coveredMs: 1000 });
  pending.learned({ station, valueJson: '{}' });
  for (let i = 0; i < 3; i++) pending.day(station, part);
  const first = pending.batch()!;
  expect(first.days).toEqual([{ station, ...part, solarMilliJ: 15, coveredMs: 3000 }]);
  pending.day(station, part);
  pending.day(station, part);
  expect(first.days).toEqual([{ station, ...part, solarMilliJ: 15, coveredMs: 3000 }]);
  expect(pending.batch()!.days).toEqual([{ station, ...part, solarMilliJ: 25, coveredMs: 5000 }]);
  expect(part.solarMilliJ).toBe(5);
  pending.saved();
  pending.learned({ station, valueJson: '{}' });
  expect(pending.batch()!.days).toEqual([]);
});
