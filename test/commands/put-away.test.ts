import { describe, expect, it } from 'vitest';
import { LOOK_AFTER_DAYS, leftAfter, TOP_UP_PCT, topUpAt } from '#energy/estimates/put-away';
import { putAwayCalendar } from '../../agent/commands/run/put-away.ts';
import { readCalendar, textOf } from '../support/ical-reader.ts';
import { batch, freshFolder, openTestRecord, START_AT } from '../support/record.ts';

const DAY = 86_400_000;
const days = (pct: number | null) => (topUpAt(START_AT, pct) - START_AT) / DAY;

describe('a station that lies switched off', () => {
  it('loses between one and six percent points a month, and never less than nothing is left', () => {
    expect(leftAfter(60, 0)).toEqual({ leastPct: 60, mostPct: 60 });
    expect(leftAfter(60, 60)).toEqual({ leastPct: 48, mostPct: 58 });
    expect(leftAfter(3, 90)).toEqual({ leastPct: 0, mostPct: 0 });
  });

  it('is topped up before less than that may be left, and looked after every three months at the latest', () => {
    expect(days(100)).toBe(LOOK_AFTER_DAYS);
    expect(days(null)).toBe(LOOK_AFTER_DAYS);
    expect(days(40)).toBe(50);
    expect(leftAfter(40, days(40)).leastPct).toBe(TOP_UP_PCT);
    expect(days(12)).toBe(1);
  });
});

describe('the calendar of a station that was put away', () => {
  function stage(pct: number | null) {
    const record = openTestRecord(freshFolder());
    const station = { id: 'shed', name: 'Honey shed, north; “old”', zone: 'Europe/Rome', pct };
    const event = (nowMs: number) =>
      readCalendar(new TextEncoder().encode(putAwayCalendar(record, station, nowMs))).components[0]!.properties;
    const span = (toMs: number | null) =>
      record.commit(batch([], { spans: [{ station: 'shed', reason: 'stored', fromMs: START_AT, toMs, note: '' }] }));
    return { record, station, event, span };
  }
  const civil = (at: number) =>
    new Intl.DateTimeFormat('sv-SE', { timeZone: 'Europe/Rome' }).format(at).replaceAll('-', '');

  it('tells what is expected on the day, and what that rests on; asked again it is the same event', () => {
    const { event, span } = stage(40);
    span(null);
    const { DTSTART, SUMMARY, DESCRIPTION, UID } = event(START_AT + DAY);
    expect(DTSTART![0]!.value).toBe(civil(START_AT + 50 * DAY));
    expect(textOf(SUMMARY![0]!.value)).toBe('Top up Honey shed, north; “old”');
    const text = textOf(DESCRIPTION![0]!.value);
    expect(text).toContain('at 40 %. Between 30 and 39 % are expected on this day.');
    expect(text).toContain('Assumed: switched off at room temperature it loses 1 to 6 percent points a month');
    expect(event(START_AT + 9 * DAY).UID).toEqual(UID);
  });

  it.each([
    ['the clocks go forward', '2026-01-05T22:30:00Z', 100, '20260405', 'Between 82 and 97 %'],
    ['the clocks go back', '2026-09-01T22:15:00Z', 46, '20261121', 'Between 30 and 44 %'],
    ['the year has a leap day', '2028-02-20T12:00:00Z', 32, '20280301', 'Between 30 and 32 %'],
  ])('counts civil days though %s', (_, since, pct, date, expected) => {
    const record = openTestRecord(freshFolder());
    const fromMs = Date.parse(since);
    record.commit(batch([], { spans: [{ station: 'shed', reason: 'stored', fromMs, toMs: null, note: '' }] }));
    const station = { id: 'shed', name: 'Honey shed', zone: 'Europe/Rome', pct };
    const text = putAwayCalendar(record, station, fromMs + 1000);
    const { DTSTART, DESCRIPTION } = readCalendar(new TextEncoder().encode(text)).components[0]!.properties;
    expect(DTSTART![0]!.value).toBe(date);
    expect(textOf(DESCRIPTION![0]!.value)).toContain(expected);
  });

  it('asked for after its day, it reminds tomorrow, with what is left by then', () => {
    const { event, span } = stage(40);
    span(null);
    const { DTSTART, DESCRIPTION } = event(START_AT + 119 * DAY);
    expect(DTSTART![0]!.value).toBe(civil(START_AT + 120 * DAY));
    expect(textOf(DESCRIPTION![0]!.value)).toContain('Between 16 and 36 % are expected on this day.');
  });

  it('says so where it is not known how full it was', () => {
    const { event, span } = stage(null);
    span(null);
    const { DTSTART, DESCRIPTION } = event(START_AT + DAY);
    expect(textOf(DESCRIPTION![0]!.value)).toContain('how full it was is not known');
    expect(DTSTART![0]!.value).toBe(civil(START_AT + LOOK_AFTER_DAYS * DAY));
  });

  it('is refused for a station that is not put away, or was taken up again', () => {
    const { event, span } = stage(40);
    expect(() => event(START_AT)).toThrow(/is not put away/);
    span(START_AT + 1000);
    expect(() => event(START_AT + 2000)).toThrow(expect.objectContaining({ code: 'REQUEST_INVALID' }));
  });
});
