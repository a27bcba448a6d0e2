import { describe, expect, it } from 'vitest';
import { ALARM_KINDS } from '#messages';
import { ALARMS } from '../../agent/alarms/kinds.ts';
import { ALARM_WORDS } from '../../agent/alarms/words.ts';

const MINUTE = 60_000;

describe('the table of alarms', () => {
  it('has at most eight kinds, each in the messages as well', () => {
    expect(Object.keys(ALARMS).sort()).toEqual([...ALARM_KINDS].sort());
    expect(ALARM_KINDS.length).toBeLessThanOrEqual(8);
  });

  it.each(Object.entries(ALARMS))(
    '%s says why, what follows, what to do and how long there is, in whole sentences',
    (kind, row) => {
      expect(row.words).toBe(ALARM_WORDS[kind as keyof typeof ALARM_WORDS]);
      expect(Object.keys(row.words).sort()).toEqual(['act', 'cause', 'consequence', 'time']);
      for (const text of Object.values(row.words)) {
        expect(text).toMatch(/^[A-Z][^!]{8,}\.$/);
        expect(text).not.toMatch(/\s{2}|\s$/);
      }
    },
  );

  it.each(Object.entries(ALARMS))('%s has a priority, a delay and something that keeps it steady', (_kind, row) => {
    expect(['low', 'medium', 'high']).toContain(row.priority);
    expect(row.delayMs).toBeGreaterThanOrEqual(0);
    expect(row.delayMs).toBeLessThanOrEqual(MINUTE);
    // Three calls of one alarm a minute would be chatter.
    expect(row.calmMs).toBeGreaterThanOrEqual(10 * MINUTE);
    if (row.deadband === null) expect(Math.min(row.delayMs, row.overForMs)).toBeGreaterThan(0);
    else {
      expect(row.deadband.raise).not.toBe(row.deadband.over);
      expect(row.deadband.unit).not.toBe('');
    }
  });

  it('keeps the high priority for what cannot wait', () => {
    const high = Object.entries(ALARMS).flatMap(([kind, { priority }]) => (priority === 'high' ? [kind] : []));
    expect(high.sort()).toEqual(['ending', 'fault', 'overVolts']);
  });
});
