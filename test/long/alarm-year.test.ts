import { expect, it } from 'vitest';
import { calmOf, replayYear } from '../support/alarm-year.ts';

it('a whole year of alarms calls less than once a day, with no flood and no chatter', () => {
  const { called, days, longest } = replayYear(1);
  const { perDay, inTenMinutes, sameInAMinute } = calmOf(called, days);
  expect(perDay).toBeLessThanOrEqual(1);
  expect(inTenMinutes).toBeLessThan(10);
  expect(sameInAMinute).toBeLessThan(3);
  expect(longest).toBeLessThanOrEqual(20);
});
