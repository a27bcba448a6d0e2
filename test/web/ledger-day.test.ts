import { describe, expect, it } from 'vitest';
import type { LedgerDay } from '#messages';
import { paletteOf } from '../../web/charts/palette.ts';
import { formatsFor, timesFor } from '../../web/format.ts';
import { reasonOf } from '../../web/state/gap-reasons.ts';
import { dayColumns, leastGapOfTyped } from '../../web/views/ledger-day/day-columns.ts';
import { dayDrawable } from '../../web/views/ledger-day/day-drawing.ts';
import { dayFigures, wentRows } from '../../web/views/ledger-day/day-figures.ts';
import { dayPlan } from '../../web/views/ledger-day/day-options.ts';
import { dayPicture } from '../../web/views/ledger-day/day-picture.ts';
import { daySentence } from '../../web/views/ledger-day/day-sentence.ts';
import { factText } from '../../web/views/ledger-day/fact-text.ts';
import { civilText, dateIn, instantOf } from '../../web/views/ledger-day/instant-field.ts';
import { EVENING_AT, shedDay, ZONE } from '../support/honey-shed.ts';
import { bareDay, daySeries, LENT, lentDay } from '../support/ledger-days.ts';
import { ledgerSeason } from '../support/ledger-season.ts';

const HOUR = 3_600_000;
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
const covered = (coveredMs: number) => ({ ...lentDay().day!, coveredMs });
const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');

const partsOf = (answer = lentDay(), nowMs = EVENING_AT) => ({
  answer,
  series: daySeries(Date.parse(answer.startAt), Date.parse(answer.endAt)),
  leastGapMs: 5000,
  nowMs,
  formats,
  times,
});
const told = (answer = lentDay(), nowMs = EVENING_AT) => {
  const drawing = dayDrawable(partsOf(answer, nowMs));
  const { headline, sure } = daySentence(answer, drawing.gaps, 1340, formats, times);
  return [headline, sure.map(piece => piece.text).join('')].map(text => plain(text).trim());
};

describe('the sentence of a day', () => {
  it('says what came, how much of it was recorded and why not all, and what a clear sky gives', () => {
    expect(told()).toEqual([
      '1 028 Wh from the sun on Friday 6 November.',
      '89 % of it is recorded; 2 h 30 min is not: lent (to Ida). A clear sky could have given 1 340 Wh.',
    ]);
  });

  it('says what is not there: nothing recorded, a day ahead, a day that still runs', () => {
    expect(told(bareDay({ date: '2026-11-01' }))[0]).toBe('Nothing is recorded of Sunday 1 November.');
    expect(told(bareDay({ date: '2026-11-09' }))).toEqual(['Monday 9 November has not come yet.', '']);
    expect(told(bareDay({ date: '2026-11-08', day: shedDay('2026-11-08') }))).toEqual([
      '1 028 Wh from the sun today so far.',
      'All of it up to now is recorded. A clear sky could have given 1 340 Wh.',
    ]);
    const lent = lentDay({ day: null, spans: [{ ...lentDay().spans[0]!, toAt: null }] });
    expect(told(lent)[1]).toMatch(/^Lent \(to Ida\)\. A clear sky/);
  });

  it('says how long a day was on which the clocks changed', () => {
    const autumn = bareDay({ date: '2026-10-25', day: shedDay('2026-10-25') });
    expect(told(autumn)[1]).toMatch(/The clocks changed: it was 25 hours long\.$/);
  });
});

describe('the drawing of a day', () => {
  it('holds the whole civil day, with gaps from their first reading missed to the next, and why', () => {
    const picture = dayPicture({ ...partsOf(), widthPx: 1200 });
    expect(picture.columns.at).toHaveLength(1440);
    expect(picture.gaps).toEqual([{ ...LENT, reason: 'lent (to Ida)' }]);
    expect(picture.flags.map(f => [f.label, f.kind])).toEqual([
      ['A', 'mark'],
      ['1', 'note'],
    ]);
    expect(picture.nights.map(n => [n.sunrise?.label, n.sunset?.label])).toEqual([
      ['sunrise 07:10', undefined],
      [undefined, 'sunset 17:04'],
    ]);
    expect(picture.ticks.map(t => t.label)).toEqual([
      '00',
      '02',
      '04',
      '06',
      '08',
      '10',
      '12',
      '14',
      '16',
      '18',
      '20',
      '22',
      '00',
    ]);
    expect(picture.columns.topW).toBe(340);
    expect(picture.columns.cuts.map(c => Math.round(c.watts))).toEqual([1857, 1762]);
  });

  it.each([
    ['2026-03-29', 23, ['00', '01', '03', '04']],
    ['2026-10-25', 25, ['00', '01', '02', '02', '03']],
  ])('of %s is %i hours wide, each hour under its own name', (date, hours, first) => {
    const answer = bareDay({ date });
    const picture = dayPicture({ ...partsOf(answer), widthPx: 4000 });
    expect((picture.endMs - picture.startMs) / HOUR).toBe(hours);
    expect(picture.ticks.slice(0, first.length).map(t => t.label)).toEqual(first);
    expect(picture.ticks.at(-1)!.label).toBe('00');
    expect(picture.columns.at).toHaveLength(hours * 60);
  });

  it('says at each place what was, why nothing was, and what is still ahead', () => {
    const drawing = dayDrawable(partsOf());
    const at = (hour: number) => plain(drawing.read(hour * 60));
    expect(at(10)).toMatch(/^10:00: \d+ %, in \d+ W \(clear sky \d+ W\), out \d+ W$/);
    expect(at(14)).toBe('14:00: not recorded, lent (to Ida)');
    const today = dayDrawable(partsOf(bareDay({ date: '2026-11-08' })));
    expect(plain(today.read(21 * 60))).toBe('21:00: still ahead');
    expect(plain(drawing.summary)).toMatch(/^The level was between .* One stretch is not recorded\. Arrow keys/);
  });

  it('has room for the hours written at both its ends, whichever clock they are of', () => {
    const palette = paletteOf({ getPropertyValue: name => (name === '--hair-width' ? '1px' : name) });
    const library = { stepped: () => null, ratio: () => 1 };
    for (const [clock, wide] of [
      ['12', '12 am'.length],
      ['24', '00'.length],
    ] as const) {
      const picture = dayPicture({ ...partsOf(), times: timesFor('en-US', ZONE, clock), widthPx: 1200 });
      const { options } = dayPlan(picture, palette, 1200, 440, library);
      const [, right, , left] = options.padding as number[];
      // Half of a label of such letters, 7.5 px each where they are strong.
      expect(Math.min(left!, right!)).toBeGreaterThanOrEqual(Math.max(8, wide * 3.75));
    }
  });

  it('has no gaps between numbers that are typed, and bridges the pace of a slow source', () => {
    const startMs = Date.parse(lentDay().startAt);
    const bounds = { startMs, endMs: startMs + 24 * HOUR, nowMs: startMs + 25 * HOUR };
    const slow = (minutes: number) => ({
      ...daySeries(startMs, bounds.endMs),
      columns: Object.fromEntries(
        ['stateOfChargePct', 'inputPowerW', 'outputPowerW'].map(name => {
          const mean = Array.from({ length: 1440 }, (_, i) => (i % minutes === 0 && (i < 780 || i > 930) ? 50 : null));
          return [name, { min: mean, mean, max: mean }];
        }),
      ),
    });
    expect(dayColumns(slow(240), null, bounds, null).gaps).toEqual([]);
    // Typed twice within two minutes; imported by the minute; nothing all day.
    expect([0, 120_000, 6 * HOUR].map(ms => leastGapOfTyped(covered(ms)))).toEqual([null, null, 0]);
    expect(leastGapOfTyped(null)).toBe(0);
    const imported = dayColumns(slow(1), null, bounds, leastGapOfTyped(covered(21 * HOUR)));
    expect(imported.gaps.map(gap => (gap.toMs - gap.fromMs) / HOUR)).toEqual([151 / 60]);
    expect(imported.input.slice(790, 920).every(watts => watts === null)).toBe(true);
    const gaps = dayColumns(slow(15), null, bounds, 5000).gaps;
    expect(gaps.map(gap => (gap.toMs - gap.fromMs) / HOUR)).toEqual([(945 - 766) / 60]);
  });
});

describe('why nothing was recorded', () => {
  const gap = { fromMs: 100, toMs: 200 };
  const span = (reason: string, fromMs: number, toMs: number | null) => ({ reason, fromMs, toMs, note: '' });

  it('is what the owner told, then what the agent saw, where it explains half of the gap', () => {
    const seen = [span('noReading', 100, 200), span('agentDown', 100, 200), span('lent', 140, null)];
    expect(reasonOf(gap, seen)?.reason).toBe('lent');
    expect(reasonOf(gap, [span('lent', 160, null), span('agentDown', 90, 190)])?.reason).toBe('agentDown');
    expect(reasonOf(gap, [span('panelsIn', 0, null), span('lent', 0, 149)])).toBeNull();
  });
});

describe('the figures of a day', () => {
  const [day] = ledgerSeason('2026-10-01', '2026-10-01', { today: '2026-11-08' }).days;
  const answer = bareDay({ date: '2026-10-01', day: day! });

  it('tell yields in their own unit, and leave out what is not known', () => {
    const names = (rows: readonly { name: string }[]) => rows.map(row => row.name);
    const all = dayFigures(answer, day!, formats, amount => `€${amount.toFixed(2)}`);
    expect(names(all)).toEqual(
      expect.arrayContaining([
        'from the sun',
        'state of charge',
        'final yield',
        'reference yield',
        'performance ratio',
        'worth',
      ]),
    );
    expect(plain(all.find(row => row.name === 'final yield')!.value)).toMatch(/^\d\.\d\d kWh\/kW$/);
    const bare: LedgerDay = {
      ...day!,
      finalYieldH: null,
      referenceYieldH: null,
      performanceRatio: null,
      worth: null,
      clearSkyWh: null,
    };
    expect(names(dayFigures(answer, bare, formats, null))).not.toContain('performance ratio');
    expect(dayFigures(bareDay({ date: '2026-10-01' }), null, formats, null)).toEqual([]);
  });

  it('say where the rest went, the most first, and what came beyond the model by its own name', () => {
    const whereItWent = {
      cloudWh: 200,
      shadeWh: 0.4,
      fullWh: 300,
      portLimitWh: 0,
      notOutWh: 0,
      notRecordedWh: 0,
      aheadWh: 0,
      otherWh: -20,
    };
    const rows = wentRows({ ...day!, clearSkyWh: 1000, whereItWent }, formats);
    expect(rows.map(row => [row.name, plain(row.value), plain(row.more)])).toEqual([
      ['battery full', '300 Wh', '30 %'],
      ['cloud', '200 Wh', '20 %'],
      ['more than the model gives', '−20 Wh', '−2 %'],
    ]);
  });
});

describe('times that are typed', () => {
  it('mean an instant of the zone; the first where they come twice, none where they are skipped', () => {
    expect(instantOf('2026-07-03T14:05', ZONE)).toBe('2026-07-03T12:05:00.000Z');
    expect(instantOf('2026-10-25T02:30', ZONE)).toBe('2026-10-25T00:30:00.000Z');
    expect(instantOf('2026-03-29T02:30', ZONE)).toBeNull();
    expect(instantOf('', ZONE)).toBeNull();
    expect(civilText(Date.UTC(2026, 6, 3, 12, 5, 59), ZONE)).toBe('2026-07-03T14:05');
  });

  it('stand in an address only as a real date', () => {
    expect(['/ledger/2026-07-03', '/ledger/2026-02-30', '/ledger/july', '/ledger'].map(dateIn)).toEqual([
      '2026-07-03',
      null,
      null,
      null,
    ]);
  });
});

describe('a dated fact in words', () => {
  it('tells panels, price and label; what cannot be read is not told', () => {
    const text = (key: Parameters<typeof factText>[0], value: unknown) =>
      plain(factText(key, JSON.stringify(value), formats));
    expect(text('panel', [{ name: 'Field', ratedW: 100, count: 2, tiltDeg: 30, azimuthDeg: 180 }])).toBe(
      '2 × 100 W, tilt 30°, azimuth 180°',
    );
    expect(
      text('tariff', {
        perKWh: 0.34,
        currency: 'EUR',
        hours: [{ days: ['sun'], fromHour: 0, toHour: 7, perKWh: 0.2 }],
      }),
    ).toBe('0.34 EUR a kWh, other prices at 1 stretch of the week');
    expect(text('ratedWh', 1500)).toBe('1 500 Wh');
    expect(text('place', { latitude: 'north' })).toBe('not told');
    expect(factText('paid', null, formats)).toBe('not told');
  });
});
