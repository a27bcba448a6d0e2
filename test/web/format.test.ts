import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  asText,
  formatsFor,
  offsetText,
  partOfDay,
  roundingStepMs,
  roundMoment,
  spanText,
  timesFor,
} from '../../web/format.ts';
import { EVENING_AT, ZONE } from '../support/honey-shed.ts';

const HOUR = 3_600_000;
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ').replace('\u2212', '-');
const formats = formatsFor('en-GB', 'C');

describe('figures', () => {
  it.each([
    [0, '0 W'],
    [41.4, '41 W'],
    [999.4, '999 W'],
    [999.6, '1.00 kW'],
    [1240, '1.24 kW'],
    [12_400, '12.4 kW'],
    [-0.2, '0 W'],
    [null, '–'],
  ])('power of %s is told as %s', (watts, text) => {
    expect(plain(asText(formats.power(watts)))).toBe(text);
  });

  it.each([
    [76, '76 Wh'],
    [1028, '1 028 Wh'],
    [9999, '9 999 Wh'],
    [12_400, '12.4 kWh'],
    [129_449, '129.4 kWh'],
    [1_028_000, '1 028 kWh'],
  ])('energy of %s is told as %s', (wattHours, text) => {
    expect(plain(asText(formats.energy(wattHours)))).toBe(text);
  });

  it('groups thousands by a thin no-break space in every locale', () => {
    for (const locale of ['en-US', 'de-DE', 'fr-CA', 'hi-IN', 'ja-JP', 'es-ES']) {
      expect(formatsFor(locale, 'C').energy(1028).text).toBe('1\u202f028');
    }
  });

  it('takes the decimal sign from the locale', () => {
    expect(formatsFor('de-DE', 'C').power(1240).text).toBe('1,24');
  });

  it('writes the real minus', () => {
    expect(formats.percent(-6)).toEqual({ text: '\u22126', unit: '%' });
  });

  it('tells temperature as wished', () => {
    expect(asText(formats.temperature(21))).toBe('21\u00a0°C');
    expect(asText(formatsFor('en-US', 'F').temperature(21))).toBe('70\u00a0°F');
  });

  it('never loses more than half a step by rounding', () => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 20_000, noNaN: true }), watts => {
        const { text, unit } = formats.power(watts);
        const back = Number(text.replaceAll('\u202f', '')) * (unit === 'kW' ? 1000 : 1);
        expect(Math.abs(back - watts)).toBeLessThanOrEqual(unit === 'W' ? 0.5 : watts < 9995 ? 5.01 : 50.01);
      }),
    );
  });

  it.each([
    [400, '0.4 s'],
    [9940, '9.9 s'],
    [12_000, '12 s'],
    [89_000, '89 s'],
    [240_000, '4 min'],
    [12_000_000, '3 h 20 min'],
    [7_200_000, '2 h'],
    [260_000_000, '3 days'],
  ])('a span of %s ms is told as %s', (ms, text) => {
    expect(plain(spanText(ms))).toBe(text);
  });
});

describe('moments', () => {
  const times = timesFor('en-GB', ZONE, '24');

  it('are told in the zone of the station', () => {
    expect(times.time(EVENING_AT)).toBe('20:00');
    expect(timesFor('en-GB', 'Asia/Kolkata', '24').time(EVENING_AT)).toBe('00:30');
  });

  it('follow the wish for 12 hours, or the system', () => {
    expect(plain(timesFor('en-GB', ZONE, '12').time(EVENING_AT))).toBe('8:00 pm');
    expect(plain(timesFor('en-US', ZONE, 'system').hour(EVENING_AT))).toBe('8 pm');
    expect(timesFor('de-DE', ZONE, 'system').hour(EVENING_AT)).toBe('20');
  });

  it('need no day within the coming night, and name it beyond', () => {
    expect(times.moment(EVENING_AT + 5.5 * HOUR, EVENING_AT)).toBe('01:30');
    expect(times.moment(EVENING_AT + 15 * HOUR, EVENING_AT)).toBe('tomorrow 11:00');
    expect(times.moment(EVENING_AT + 40 * HOUR, EVENING_AT)).toBe('Tuesday 12:00');
    expect(times.moment(EVENING_AT - 30 * HOUR, EVENING_AT)).toBe('yesterday 14:00');
    expect(times.moment(EVENING_AT + 10 * 24 * HOUR, EVENING_AT)).toBe('18 November 20:00');
  });

  it('carry their offset in the hour that comes twice when the clocks go back', () => {
    const first = Date.UTC(2026, 9, 25, 0, 30);
    expect(times.time(first)).toBe('02:30 (UTC+2)');
    expect(times.time(first + HOUR)).toBe('02:30 (UTC+1)');
    expect(times.time(first + 2 * HOUR)).toBe('03:30');
    expect(times.time(first - HOUR)).toBe('01:30');
  });

  it('name tomorrow rightly on the day of 25 hours', () => {
    const saturdayEvening = Date.UTC(2026, 9, 24, 20);
    expect(times.moment(saturdayEvening + 16 * HOUR, saturdayEvening)).toBe('tomorrow 13:00');
  });

  it('know the offsets of half-hour zones', () => {
    expect(offsetText(EVENING_AT, 'Asia/Kolkata')).toBe('UTC+5:30');
    expect(offsetText(EVENING_AT, 'America/St_Johns')).toBe('UTC\u22123:30');
    expect(offsetText(EVENING_AT, 'UTC')).toBe('UTC');
  });

  it('are rounded by a step that grows with the range, the careful end to the careful side', () => {
    expect([1, 4, 8, 20].map(h => roundingStepMs(h * HOUR) / 60_000)).toEqual([5, 10, 15, 30]);
    const at = Date.UTC(2026, 10, 8, 19, 7);
    expect(times.time(roundMoment(at, 600_000, 'down', ZONE))).toBe('20:00');
    expect(times.time(roundMoment(at, 600_000, 'up', ZONE))).toBe('20:10');
    expect(timesFor('en', 'Asia/Kathmandu', '24').time(roundMoment(at, 1_800_000, 'near', 'Asia/Kathmandu'))).toBe(
      '01:00',
    );
  });

  it('name the part of the day that use is taken to go on like', () => {
    const parts = [3, 8, 14, 19, 23].map(h => partOfDay(Date.UTC(2026, 10, 8, h - 1), ZONE));
    expect(parts).toEqual(['tonight', 'this morning', 'this afternoon', 'this evening', 'tonight']);
  });
});
