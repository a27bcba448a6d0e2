import { describe, expect, it } from 'vitest';
import { formatsFor, timesFor } from '../../web/format.ts';
import { outageTold } from '../../web/outage-told.ts';
import { outageFrom, outageToTell } from '../../web/state/outage.ts';
import { EVENING_AT, ZONE } from '../support/honey-shed.ts';
import { toldOutage } from '../support/outages.ts';

const HOUR = 3_600_000;
const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');
const iso = (ms: number) => new Date(ms).toISOString();
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

// 15:00 to 19:30, from 98 to 71 percent.
const began = EVENING_AT - 5 * HOUR;
const ended = EVENING_AT - 0.5 * HOUR;
const outage = (over: Parameters<typeof toldOutage>[1] = {}) =>
  outageFrom(
    toldOutage(began, {
      endedAt: iso(ended),
      startPct: 98,
      endPct: 71,
      lowestPct: 71,
      outputWh: 310,
      inputWh: 24,
      promised: { madeAt: iso(began + 10_000), p10: iso(began + 7 * HOUR), p50: iso(began + 9 * HOUR) },
      ...over,
    }),
  );
const lines = (over: Parameters<typeof toldOutage>[1] = {}) =>
  outageTold(outage(over), formats, times, EVENING_AT).lines.map(plain);

describe('an outage that is over', () => {
  it('is told with its times, its energy and its levels, and what had been promised', () => {
    expect(plain(outageTold(outage(), formats, times, EVENING_AT).headline)).toBe(
      'The mains were away for 4 h 30 min.',
    );
    expect(lines()).toEqual([
      'From 15:00 to 19:30.',
      '310 Wh were used, 24 Wh came in.',
      'It went from 98 % to 71 %.',
      'First promised: at least until 22:00, more likely 00:00.',
      'The mains came back before the floor was reached.',
    ]);
  });

  it('tells how low it went where the sun lifted it again', () => {
    expect(lines({ lowestPct: 40 })).toContain('It went from 98 % to 71 %, 40 % at its lowest.');
  });

  it.each([
    ['no sooner than promised', { floorAt: iso(began + 7.5 * HOUR), endedAt: iso(began + 8 * HOUR) }, /no sooner/],
    ['sooner than promised', { floorAt: iso(began + 3 * HOUR) }, /^The floor came at 18:00, sooner than promised\.$/],
    ['not by the promised time', { endedAt: iso(began + 7.5 * HOUR) }, /the promise was kept/],
  ])('says what came of the promise: the floor %s', (_, over, said) => {
    expect(lines(over).at(-1)).toMatch(said);
  });

  it('says where no end had been told', () => {
    expect(lines({ promised: null }).at(-1)).toBe('It was over before an end could be foretold.');
  });
});

describe('which outage is told', () => {
  const open = outageFrom(toldOutage(EVENING_AT));
  it('is one that goes on, else the last one until it is put away', () => {
    expect(outageToTell([], null)).toBeNull();
    expect(outageToTell([outage(), open], String(EVENING_AT))).toBe(open);
    const over = outage();
    expect(outageToTell([over], null)).toBe(over);
    expect(outageToTell([over], String(began - 1))).toBe(over);
    expect(outageToTell([over], String(began))).toBeNull();
  });

  it('is no flicker of the mains', () => {
    const over = outage();
    const flicker = outageFrom(toldOutage(EVENING_AT - 60_000, { endedAt: iso(EVENING_AT - 30_000) }));
    expect(outageToTell([over, flicker], null)).toBe(over);
    expect(outageToTell([flicker], null)).toBeNull();
  });
});
