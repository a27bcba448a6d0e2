import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Reminder, reminderCalendar } from '../../agent/exchange/calendar.ts';
import { readCalendar, textOf } from '../support/ical-reader.ts';

const reminder = (over: Partial<Reminder> = {}): Reminder => ({
  uid: 'put-away-shed-1@wattkeep',
  madeAt: Date.UTC(2026, 10, 28, 17, 5, 9, 120),
  date: '2027-02-26',
  dayAfter: '2027-02-27',
  summary: 'Top up Honey shed',
  description: 'One.\nTwo; three, four \\ five.',
  remindsAtHour: 9,
  ...over,
});
const read = (over: Partial<Reminder> = {}) =>
  readCalendar(new TextEncoder().encode(reminderCalendar(reminder(over)))).components[0]!;

describe('a reminder as an iCalendar file', () => {
  it('is one event on its day with a reminder in the morning', () => {
    const { properties, components } = read();
    expect(properties).toMatchObject({
      UID: [{ value: 'put-away-shed-1@wattkeep' }],
      DTSTAMP: [{ value: '20261128T170509Z' }],
      DTSTART: [{ value: '20270226' }],
      DTEND: [{ value: '20270227' }],
    });
    expect(components[0]!.properties.TRIGGER).toEqual([{ params: {}, value: 'PT9H' }]);
  });

  it('keeps any name and any text to its rules of lines, folds and escapes', () => {
    const any = fc.string({ unit: fc.constantFrom(...'ab ;,:\\"\n\r\té蜂🐝\u0007nN'), maxLength: 200 });
    fc.assert(
      fc.property(any, any, (summary, description) => {
        const { properties } = read({ summary, description });
        const meant = (text: string) => text.replace(/\r\n?/g, '\n').replaceAll('\u0007', '');
        expect(textOf(properties.SUMMARY![0]!.value)).toBe(meant(summary));
        expect(textOf(properties.DESCRIPTION![0]!.value)).toBe(meant(description));
      }),
      { examples: [['🐝'.repeat(60), 'é'.repeat(75)]], numRuns: 300 },
    );
  });
});
