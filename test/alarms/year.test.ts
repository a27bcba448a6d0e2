import { describe, expect, it } from 'vitest';
import { ALARM_KINDS } from '#messages';
import { ALARMS } from '../../agent/alarms/kinds.ts';
import { calmOf, replayYear } from '../support/alarm-year.ts';

/** In between lies a sleep; `npm run test:long` goes through every day. */
const EVERY_NTH_DAY = 5;

describe('a year, every fifth day of it', () => {
  const { called, longest, days } = replayYear(EVERY_NTH_DAY);

  it('calls less than once a day, with no flood and no chatter', () => {
    const { perDay, inTenMinutes, sameInAMinute } = calmOf(called, days);
    expect(perDay).toBeLessThanOrEqual(1);
    expect(inTenMinutes).toBeLessThan(10);
    expect(sameInAMinute).toBeLessThan(3);
  });

  it('has something of every kind in it, each with what to do', () => {
    expect([...new Set(called.map(({ kind }) => kind))].sort()).toEqual([...ALARM_KINDS].sort());
    for (const { kind } of called) expect(ALARMS[kind].words.act).not.toBe('');
  });

  it('keeps the list short though nobody answers', () => {
    expect(longest).toBeLessThanOrEqual(20);
  });
});
