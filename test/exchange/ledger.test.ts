import Papa from 'papaparse';
import { expect, test } from 'vitest';
import { ledgerCsv } from '../../agent/exchange/write-ledger.ts';
import { dayDelta } from '../support/record.ts';

test('a ledger has a row a day, units in its header, and empty cells where nothing is known', () => {
  const full = dayDelta({
    solarMilliJ: 1234 * 3_600_000,
    inputMilliJ: 1_300.25 * 3_600_000,
    outputMilliJ: 360_000,
    coveredMs: 23 * 3_600_000,
    gapMs: 3_600_000,
    solarPeakW: 287.35,
    stateOfChargeMinPct: 41,
    stateOfChargeMaxPct: 99.5,
  });
  const csv = ledgerCsv(
    [full, dayDelta({ date: '2026-06-04', startMs: full.endMs, endMs: full.endMs + 86_400_000 })],
    full.endMs,
  );
  const { data, errors } = Papa.parse<string[]>(csv, { newline: '\r\n' });
  expect(errors).toEqual([]);
  expect(data).toEqual([
    [
      'date',
      'zone',
      'solarWh',
      'inputWh',
      'outputWh',
      'coveragePct',
      'coveredMin',
      'gapMin',
      'solarPeakW',
      'stateOfChargeMinPct',
      'stateOfChargeMaxPct',
    ],
    ['2026-06-03', 'Europe/Berlin', '1234', '1300.3', '0.1', '95.8', '1380', '60', '287.4', '41', '99.5'],
    ['2026-06-04', 'Europe/Berlin', '0', '0', '0', '0', '0', '0', '0', '', ''],
    [''],
  ]);
});

test('a day that is not over is measured up to now', () => {
  const day = dayDelta({ coveredMs: 3_600_000 });
  const rows = ledgerCsv([day], day.startMs + 2 * 3_600_000).split('\r\n');
  expect(rows[1]!.split(',')[5]).toBe('50');
});
