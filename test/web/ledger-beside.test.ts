import { describe, expect, it } from 'vitest';
import type { LedgerAnswer, LedgerDay } from '#messages';
import { formatsFor } from '../../web/format.ts';
import { besideOf } from '../../web/views/ledger-beside/pairs.ts';
import { addressOf, type Sides, sidesOf, wrongOf } from '../../web/views/ledger-beside/sides.ts';
import { besideRows, besideTold } from '../../web/views/ledger-beside/telling.ts';
import { ledgerSeason } from '../support/ledger-season.ts';

const TODAY = '2026-11-08';
const formats = formatsFor('en-GB', 'C');
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

const [model] = ledgerSeason('2026-10-01', '2026-10-01', { today: TODAY }).days;
const day = (date: string, solarWh: number, more: Partial<LedgerDay> = {}): LedgerDay => ({
  ...model!,
  date,
  solarWh,
  coveragePct: 100,
  finalYieldH: solarWh / 400,
  referenceYieldH: 4,
  performanceRatio: solarWh / 1600,
  worth: solarWh / 1000,
  ...more,
});
const answer = (days: LedgerDay[], more: Partial<LedgerAnswer> = {}): LedgerAnswer => ({
  ...ledgerSeason('2026-10-01', '2026-10-01', { today: TODAY }),
  days,
  ...more,
});
const sides = (other: Partial<Sides['other']> = {}): Sides => ({
  one: { station: 'shed', from: '2026-10-01', to: '2026-10-04' },
  other: { station: 'barn', from: '2026-10-01', to: '2026-10-04', ...other },
});

describe('what stands beside what', () => {
  it('is two stations over the same days, or a week of one against the week before', () => {
    expect(sidesOf('', ['shed', 'barn'], TODAY)).toEqual({
      one: { station: 'shed', from: '2026-10-09', to: '2026-11-07' },
      other: { station: 'barn', from: '2026-10-09', to: '2026-11-07' },
    });
    expect(sidesOf('', ['shed'], TODAY)).toEqual({
      one: { station: 'shed', from: '2026-11-01', to: '2026-11-07' },
      other: { station: 'shed', from: '2026-10-25', to: '2026-10-31' },
    });
  });

  it('stands in the address and is read back; what is unknown there is left out', () => {
    const asked = sides({ from: '2025-10-01', to: '2025-10-04' });
    expect(sidesOf(addressOf(asked).split('?')[1]!, ['shed', 'barn'], TODAY)).toEqual(asked);
    expect(sidesOf('one=attic&oneFrom=2026-02-30&oneTo=x', ['shed'], TODAY).one.station).toBe('shed');
    expect([
      wrongOf({ station: 'a', from: '', to: '2026-01-01' }),
      wrongOf({ station: 'a', from: '2026-01-02', to: '2026-01-01' }),
      wrongOf({ station: 'a', from: '2024-01-01', to: '2026-01-01' }),
      wrongOf({ station: 'a', from: '2025-01-01', to: '2025-12-31' }),
    ]).toEqual(['date', 'order', 'long', null]);
  });
});

describe('two stations beside each other', () => {
  const shed = answer([
    day('2026-10-01', 800),
    day('2026-10-02', 1000),
    day('2026-10-03', 400),
    day('2026-10-04', 900),
  ]);
  const barn = answer([
    day('2026-10-01', 400, { finalYieldH: 4 }),
    day('2026-10-02', 300, { finalYieldH: 3, coveragePct: 60 }),
    day('2026-10-04', 200, { finalYieldH: 2 }),
  ]);

  it('count only days that both recorded whole, whatever their panels’ size', () => {
    const beside = besideOf(sides(), [shed, barn]);
    expect(beside.pairs.map(pair => pair.counted)).toEqual([true, false, false, true]);
    expect(beside.sums.map(sum => [sum.harvestWh, sum.yieldH])).toEqual([
      [1700, 4.25],
      [600, 6],
    ]);
    const told = besideTold(beside, ['Honey shed', 'Barn'], formats);
    expect(plain(told.headline)).toBe('Honey shed: 29 % less a kW of panels than Barn.');
    expect(plain(told.sure)).toMatch(
      /^Over the 2 whole days in common, a day: 2\.13 kWh\/kW against 3\.00 kWh\/kW\. 2 days are left out/,
    );
    expect(plain(told.sure)).toMatch(
      /Recorded of all its days: 100 %, and 65 %\. Days are held against each other by date\.$/,
    );
  });

  it('are told in one table with their difference, and worth only in one currency', () => {
    const rows = besideRows(besideOf(sides(), [shed, barn]), formats, null).map(row => row.map(plain));
    expect(rows).toEqual([
      ['whole days in common', '2', '2', ''],
      ['from the sun', '1 700 Wh', '600 Wh', '+183.3 %'],
      ['final yield, kWh/kW', '4.25', '6.00', '−29.2 %'],
      ['final yield a day, kWh/kW', '2.13', '3.00', '−29.2 %'],
      ['performance ratio', '53 %', '19 %', '+183.3 %'],
      ['recorded of all its days', '100 %', '65 %', ''],
    ]);
    expect(besideRows(besideOf(sides(), [shed, barn]), formats, String).at(-1)![0]).toBe('worth');
  });

  it('are compared by energy, and that is said, where one does not know its panels', () => {
    const unknown = answer(barn.days.map(one => ({ ...one, finalYieldH: null })));
    const told = besideTold(besideOf(sides(), [shed, unknown]), ['Honey shed', 'Barn'], formats);
    expect(plain(told.headline)).toBe('Honey shed: 183 % more than Barn.');
    expect(told.sure).toMatch(/their size is not taken out\.$/);
  });

  it('have no share to tell of one that gathered nothing', () => {
    const dark = answer(barn.days.map(one => ({ ...one, solarWh: 0, finalYieldH: 0 })));
    const headline = (a: LedgerAnswer, b: LedgerAnswer) =>
      besideTold(besideOf(sides(), [a, b]), ['Honey shed', 'Barn'], formats).headline;
    expect(headline(shed, dark)).toBe('Honey shed gathered something, Barn nothing.');
    expect(headline(dark, shed)).toBe('Barn gathered something, Honey shed nothing.');
    expect(headline(dark, dark)).toBe('Neither Honey shed nor Barn gathered anything.');
  });

  it('weigh performance ratios by the light while nothing held the panels back, as the Ledger does', () => {
    const held = answer([
      day('2026-10-01', 800, { performanceRatio: 0.9, referenceYieldH: 6, openReferenceYieldH: 1 }),
      day('2026-10-04', 900, { performanceRatio: 0.5, referenceYieldH: 4 }),
    ]);
    expect(besideOf(sides(), [held, barn]).sums[0].ratio).toBeCloseTo((0.9 + 0.5 * 4) / 5, 9);
  });

  it('without a whole day in common have no difference', () => {
    const beside = besideOf(sides(), [shed, answer([])]);
    expect(besideTold(beside, ['Honey shed', 'Barn'], formats).headline).toBe('They have no whole day in common.');
    expect(besideRows(beside, formats, null).map(([name]) => name)).toEqual([
      'whole days in common',
      'recorded of all its days',
    ]);
  });
});

describe('two periods of one station', () => {
  it('are held against each other in their order, as far as both reach; today never counts', () => {
    const days = ['2026-11-06', '2026-11-07', TODAY].map(date => day(date, 500));
    const before = ['2026-10-06', '2026-10-07', '2026-10-08', '2026-10-09'].map(date => day(date, 250));
    const periods: Sides = {
      one: { station: 'shed', from: '2026-11-06', to: TODAY },
      other: { station: 'shed', from: '2026-10-06', to: '2026-10-09' },
    };
    const beside = besideOf(periods, [answer(days), answer(before)]);
    expect(beside.pairs.map(pair => [...pair.dates, pair.counted])).toEqual([
      ['2026-11-06', '2026-10-06', true],
      ['2026-11-07', '2026-10-07', true],
      [TODAY, '2026-10-08', false],
    ]);
    expect(plain(besideTold(beside, ['November', 'October'], formats).headline)).toBe(
      'November: 100 % more a kW of panels than October.',
    );
  });
});
