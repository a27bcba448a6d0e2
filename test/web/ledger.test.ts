import { describe, expect, it } from 'vitest';
import { ledgerPicture } from '../../web/charts/ledger-picture.ts';
import { formatsFor, timesFor } from '../../web/format.ts';
import { ledgerDrawable } from '../../web/views/ledger/drawing.ts';
import { ledgerFigures } from '../../web/views/ledger/figures.ts';
import { ledgerSentence } from '../../web/views/ledger/sentence.ts';
import { dayRow } from '../../web/views/ledger/tables.ts';
import { shedDay, ZONE } from '../support/honey-shed.ts';

const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');
const TODAY = '2026-11-08';
const day = (date: string, solarWh: number, coveragePct = 100, inputWh = solarWh) =>
  shedDay(date, { solarWh, inputWh, coveragePct });
const WEEK = [
  day('2026-10-31', 900),
  day('2026-11-04', 1200),
  day('2026-11-05', 400, 38.5),
  day('2026-11-06', 1400, 99, 1900),
  day(TODAY, 600),
];
const figures = ledgerFigures(WEEK, TODAY);

describe('the figures of the ledger', () => {
  it('sum all that was recorded, average only whole days, and never count today as whole', () => {
    expect(figures.solarWh).toBe(4500);
    expect(figures.wholeDays).toBe(3);
    expect(figures.meanWh).toBeCloseTo(3500 / 3);
    expect(figures.otherWh).toBe(500);
  });

  it('give a place to days that are not in the record', () => {
    expect(figures.days.map(d => d.kind)).toEqual([
      'whole',
      'missing',
      'missing',
      'missing',
      'whole',
      'partly',
      'whole',
      'missing',
      'today',
    ]);
    expect(figures.missingDays).toBe(4);
  });

  it('sum months, with what of them was recorded', () => {
    expect(figures.months.map(m => [m.month, m.solarWh, m.wholeDays, m.days])).toEqual([
      ['2026-10', 900, 1, 1],
      ['2026-11', 3600, 2, 8],
    ]);
    expect(figures.months[1]!.coveragePct).toBeCloseTo((100 + 38.5 + 99 + 100) / 8);
  });

  it('are nothing where nothing is recorded', () => {
    expect(ledgerFigures([], TODAY)).toMatchObject({ days: [], solarWh: 0, meanWh: null, months: [] });
  });
});

describe('the words of the ledger', () => {
  it('say what came since when, the mean, and what is missing', () => {
    const { headline, sure } = ledgerSentence(figures, TODAY, formats, times);
    expect(plain(headline)).toBe('4 500 Wh from the sun since 31 October.');
    expect(plain(sure.map(p => p.text).join(''))).toBe(
      'The 3 whole days averaged 1 167 Wh. One day is only partly recorded. 4 days are not recorded at all. 500 Wh more came in that is not known to be sun; it is not counted.',
    );
  });

  it('promise nothing of an empty record', () => {
    expect(ledgerSentence(ledgerFigures([], TODAY), TODAY, formats, times).headline).toBe('Nothing gathered yet.');
  });

  it('tell each day with what of it was recorded', () => {
    const drawing = ledgerDrawable(figures, formats, times);
    expect([0, 1, 5, 8].map(i => plain(drawing.read(i)))).toEqual([
      '31 October: 900 Wh',
      '1 November: not recorded',
      '5 November: 400 Wh, 38 % of the day recorded',
      'today so far: 600 Wh',
    ]);
    expect(dayRow(figures.days[1]!, TODAY, formats, times).map(plain)).toEqual([
      '1 November',
      '–',
      '–',
      '–',
      '0 %',
      '–',
    ]);
  });
});

describe('the bars', () => {
  it('separate whole days, partly recorded days and today, and leave a gap for a missing day', () => {
    const picture = ledgerPicture(figures.days, 1000, formats, times);
    expect(picture.whole).toEqual([900, null, null, null, 1200, null, 1400, null, null]);
    expect(picture.partly[5]).toBe(400);
    expect(picture.today[8]).toBe(600);
    expect(picture.shares.map(s => plain(s.label))).toEqual(['38 %']);
    expect(picture.scale.map(s => plain(s.label))).toEqual(['500', '1 000']);
  });

  it('show as many of the last days as can be told apart, by month where they are many', () => {
    const year = Array.from({ length: 400 }, (_, i) =>
      day(new Date(Date.UTC(2026, 10, 8) - (399 - i) * 86_400_000).toISOString().slice(0, 10), 1000),
    );
    const picture = ledgerPicture(ledgerFigures(year, TODAY).days, 300, formats, times);
    expect(picture.slots).toHaveLength(100);
    expect(picture.names.map(n => n.label)).toEqual(['August', 'September', 'October', 'November']);
  });
});
