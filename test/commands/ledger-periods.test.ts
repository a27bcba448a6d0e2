/** Sums of months, half-years and years, and how the Ledger is printed: how much was recorded is always told. */
import { describe, expect, it } from 'vitest';
import { periodOf } from '#energy/ledger/periods';
import { factsOfSettings } from '../../agent/commands/ledger-facts.ts';
import { periodSums } from '../../agent/commands/ledger-periods.ts';
import { ledgerJson, ledgerTable } from '../../agent/commands/ledger-print.ts';
import { notedLedger } from '../../agent/commands/noted-ledger.ts';
import { periodsCsv } from '../../agent/exchange/write-figures.ts';
import { clearW, recordedDays, shedSettings, workedOf } from '../support/ledger-record.ts';

const TARIFF = { perKWh: 0.25, currency: 'EUR' };
const facts = factsOfSettings(shedSettings(), TARIFF);

/** The last two days of March and the first four of April, of which the second was not recorded; the last is cloudy. */
const spring = () => {
  const record = recordedDays({
    from: '2026-03-30',
    days: 6,
    missing: hour => hour >= 72 && hour < 96,
    powerW: (at, hour) => clearW(at) * (hour >= 120 ? 0.3 : 1),
  });
  return { record, worked: workedOf(record, { facts }) };
};

describe('a period', () => {
  it('is a month, a half-year of long or short days, or a year', () => {
    expect(periodOf('month', '2028-02-29')).toMatchObject({ from: '2028-02-01', to: '2028-02-29' });
    expect(periodOf('season', '2026-04-01')).toMatchObject({ from: '2026-04-01', to: '2026-09-30' });
    expect(periodOf('season', '2026-03-31')).toMatchObject({ from: '2025-10-01', to: '2026-03-31' });
    expect(periodOf('season', '2026-12-31')).toMatchObject({ from: '2026-10-01', to: '2027-03-31' });
    expect(periodOf('year', '2026-06-21')).toMatchObject({ from: '2026-01-01', to: '2026-12-31' });
    expect(periodOf('month', '0999-12-31')).toMatchObject({ from: '0999-12-01', to: '0999-12-31' });
  });

  it('sums its days, and a date without a reading counts as not recorded', () => {
    const { record, worked } = spring();
    const nowMs = Date.parse('2026-04-10T00:00:00Z');
    const [march, april] = periodSums('month', worked.days, worked.answer.missing, nowMs);
    expect([march!.from, march!.days, march!.recordedDays]).toEqual(['2026-03-01', 2, 2]);
    expect([april!.from, april!.days, april!.recordedDays]).toEqual(['2026-04-01', 4, 3]);
    expect(march!.coveragePct).toBeGreaterThan(99);
    expect(april!.coveragePct).toBeCloseTo(75, 0);
    const { days } = worked.answer;
    expect(march!.solarWh).toBeCloseTo(days[0]!.solarWh + days[1]!.solarWh, 6);
    const missing = worked.answer.missing[0]!.clearSkyWh!;
    expect(april!.whereItWent!.notRecordedWh).toBeGreaterThanOrEqual(missing);
    const causes = Object.values(april!.whereItWent!).reduce((a, b) => a + b, 0);
    expect(causes + april!.solarWh).toBeCloseTo(april!.clearSkyWh!, 2);
    expect(april!.worth).toBeCloseTo((0.25 * april!.solarWh) / 1000, 6);
    const later = workedOf(record, { facts, to: '2026-05-20', nowMs: nowMs + 40 * 86_400_000 });
    const may = periodSums('month', later.days, later.answer.missing, nowMs).at(-1)!;
    expect([may.from, may.recordedDays, may.coveragePct, may.solarWh]).toEqual(['2026-05-01', 0, 0, 0]);
    expect(may.whereItWent!.notRecordedWh).toBeCloseTo(may.clearSkyWh!, 6);
    // A ratio of sums, not a mean of ratios.
    expect(march!.performanceRatio).toBeCloseTo(0.8, 2);
    expect(april!.performanceRatio).toBeCloseTo((0.8 * (1 + 1 + 0.3)) / 3, 1);
    expect(periodSums('season', worked.days, worked.answer.missing, nowMs).map(({ to }) => to)).toEqual([
      '2026-03-31',
      '2026-09-30',
    ]);
  });

  it('knows no sum of what is not known of one of its days', () => {
    const record = recordedDays({ from: '2026-03-30', days: 2 });
    const worked = workedOf(record, { facts: factsOfSettings(shedSettings({ place: undefined })) });
    const [march] = periodSums('month', worked.days, worked.answer.missing, 0);
    expect(march).toMatchObject({ clearSkyWh: null, whereItWent: null, worth: null, referenceYieldKwhPerKw: null });
    expect(march!.finalYieldKwhPerKw).toBeGreaterThan(5);
  });
});

describe('the printed ledger', () => {
  const nowMs = Date.parse('2026-04-10T00:00:00Z');

  it('is a table with a row a day or a period, their sum, and how much was recorded', () => {
    const { worked } = spring();
    const lines = ledgerTable({ ...worked, by: null, nowMs }).split('\n');
    expect(lines[0]).toMatch(/^date +sun Wh +clear Wh +cloud Wh .* recorded % +EUR$/);
    expect(lines.slice(1, -2).map(line => line.slice(0, 10))).toEqual([
      '2026-03-30',
      '2026-03-31',
      '2026-04-01',
      '2026-04-03',
      '2026-04-04',
    ]);
    expect(lines.at(-2)).toMatch(/^sum .* 83 +\d+\.\d\d$/);
    const months = ledgerTable({ ...worked, by: 'month', nowMs }).split('\n');
    expect(months.map(line => line.slice(0, 10).trim())).toEqual(['from', '2026-03-01', '2026-04-01', 'sum', '']);
    expect(new Set([...lines, ...months].filter(line => line !== '').map(line => line.length)).size).toBe(1);
  });

  it('has a dash where something is not known', () => {
    const record = recordedDays({ from: '2026-03-30' });
    const worked = workedOf(record, { facts: [] });
    expect(ledgerTable({ ...worked, by: null, nowMs }).split('\n')[1]).toMatch(
      /^2026-03-30 +\d+ +– +– +– +– +– +– +– +0 +100$/,
    );
  });

  it('keeps the keys of its JSON, and tells more beside them', () => {
    const { worked } = spring();
    const told = JSON.parse(ledgerJson({ ...worked, by: null, nowMs }));
    expect(Object.keys(told)).toEqual(expect.arrayContaining(['days', 'missing', 'totals', 'money']));
    expect(told.days[0]).toMatchObject({
      date: '2026-03-30',
      zone: 'Europe/Zurich',
      solarWh: expect.any(Number),
      inputWh: expect.any(Number),
      outputWh: 0,
      coveragePct: expect.any(Number),
      clearSkyWh: expect.any(Number),
      finalYieldKwhPerKw: expect.any(Number),
      referenceYieldKwhPerKw: expect.any(Number),
      performanceRatio: expect.closeTo(0.8, 2),
      heldBackPct: 0,
      referenceFrom: 'clear sky',
      whereItWent: { cloudWh: expect.any(Number), aheadWh: 0 },
    });
    expect(told.totals).toMatchObject({ solarWh: expect.any(Number), days: 6, recordedDays: 5, outputWh: 0 });
    const seasons = JSON.parse(ledgerJson({ ...worked, by: 'season', nowMs }));
    expect(seasons.periods).toHaveLength(2);
    expect(seasons.days).toBeUndefined();
  });

  it('is CSV whose rows all have the columns of its header', () => {
    const { record, worked } = spring();
    const whole = notedLedger(record, 'shed', '0001-01-01', '9999-12-31', nowMs, worked.answer.days);
    const rows = whole
      .trimEnd()
      .split('\r\n')
      .map(line => line.split(','));
    expect(rows[0]).toEqual(expect.arrayContaining(['date', 'solarWh', 'clearSkyWh', 'cloudWh', 'worth', 'notes']));
    expect(new Set(rows.map(cells => cells.length)).size).toBe(1);
    expect(Number(rows[1]![rows[0]!.indexOf('clearSkyWh')])).toBeCloseTo(worked.answer.days[0]!.clearSkyWh!, 0);
    // Its totals alone, as before.
    expect(notedLedger(record, 'shed', '0001-01-01', '9999-12-31', nowMs).split('\r\n')[0]).not.toContain('cloudWh');
    const months = periodsCsv(periodSums('month', worked.days, worked.answer.missing, nowMs))
      .trimEnd()
      .split('\r\n');
    expect(months).toHaveLength(3);
    expect(months[0]).toMatch(/^from,to,days,recordedDays,coveragePct,solarWh,/);
  });
});
