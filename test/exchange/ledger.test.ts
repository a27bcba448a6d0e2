import Papa from 'papaparse';
import { expect, test } from 'vitest';
import type { Counted } from '#messages';
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
      'notes',
    ],
    ['2026-06-03', 'Europe/Berlin', '1234', '1300.3', '0.1', '95.8', '1380', '60', '287.4', '41', '99.5', ''],
    ['2026-06-04', 'Europe/Berlin', '', '', '', '0', '0', '0', '', '', '', ''],
    [''],
  ]);
});

test('a day that lies wholly in a gap has no energy at all, a dark day has none in numbers', () => {
  const [gap, dark] = [dayDelta({ gapMs: 86_400_000 }), dayDelta({ date: '2026-06-04', coveredMs: 86_400_000 })];
  const { data } = Papa.parse<Record<string, string>>(ledgerCsv([gap, dark], dark.endMs), {
    newline: '\r\n',
    header: true,
  });
  expect(data[0]).toMatchObject({ solarWh: '', inputWh: '', outputWh: '', solarPeakW: '', gapMin: '1440' });
  expect(data[1]).toMatchObject({ solarWh: '0', inputWh: '0', outputWh: '0', solarPeakW: '0', coveredMin: '1440' });
});

test('a day that is not over is measured up to now', () => {
  const day = dayDelta({ coveredMs: 3_600_000 });
  const rows = ledgerCsv([day], day.startMs + 2 * 3_600_000).split('\r\n');
  expect(rows[1]!.split(',')[5]).toBe('50');
});

test('notes are text that no spreadsheet reckons with, and days that hold nothing else have a row', () => {
  const words = ['=1+1', '+cmd', '-2', '@x', '\tindented', "'quoted", 'said "yes", twice', 'two\nlines'];
  const notes = new Map(words.map((text, i) => [`2026-06-0${i + 1}`, text]));
  const csv = ledgerCsv([dayDelta({ date: '2026-06-03' })], 0, notes);
  const { data, errors } = Papa.parse<string[]>(csv, { newline: '\r\n' });
  expect(errors).toEqual([]);
  const cells = data.slice(1, -1).map(row => row.at(-1));
  expect(cells).toEqual(["'=1+1", "'+cmd", "'-2", "'@x", "'\tindented", "''quoted", ...words.slice(6)]);
  expect(data[1]).toHaveLength(12);
  expect(data[1]!.slice(0, 3)).toEqual(['2026-06-01', '', '']);
  expect(data[3]!.slice(0, 3)).toEqual(['2026-06-03', 'Europe/Berlin', '']);
});

test('what the station itself counted stands in columns of its own, empty where no counter was told', () => {
  const counted: Counted = { solarWh: 1251.5, inputWh: null, outputWh: 40, bridgedSolarWh: 120 };
  const [known, bare] = [dayDelta({ date: '2026-06-03' }), dayDelta({ date: '2026-06-04' })];
  const csv = ledgerCsv([known, bare], 0, new Map(), null, day => (day === known ? counted : null));
  const { data } = Papa.parse<Record<string, string>>(csv, { newline: '\r\n', header: true });
  const own = [
    'countedSolarWh',
    'countedInputWh',
    'countedChargerWh',
    'countedOutputWh',
    'countedMeterWh',
    'bridgedSolarWh',
  ];
  expect(own.map(name => data[0]![name])).toEqual(['1251.5', '', '', '40', '', '120']);
  expect(own.map(name => data[1]![name])).toEqual(['', '', '', '', '', '']);
  expect(data[0]).toMatchObject({ solarWh: '', notes: '' });
});
