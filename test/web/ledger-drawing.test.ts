import { describe, expect, it } from 'vitest';
import type { LedgerAnswer } from '#messages';
import { carpetPixels, inkOf, ledgerCarpet, STEPS } from '../../web/charts/ledger-carpet.ts';
import { ledgerColumns } from '../../web/charts/ledger-columns.ts';
import { ledgerLayout } from '../../web/charts/ledger-layout.ts';
import { letterMarks, placeMarks, textPx } from '../../web/charts/ledger-marks.ts';
import { shadeSeen } from '../../web/charts/ledger-shade.ts';
import { formatsFor, timesFor } from '../../web/format.ts';
import { ledgerShown } from '../../web/views/ledger/drawing.ts';
import { ledgerFigures, listDays } from '../../web/views/ledger/figures.ts';
import { ZONE } from '../support/honey-shed.ts';
import { ledgerSeason, summer, years } from '../support/ledger-season.ts';

const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');
const list = (answer: LedgerAnswer) => listDays(answer, answer.days, answer.today);
const SUMMER = summer('shed', '2026-04-01', '2026-09-12');
const YEARS = years('shed', '2000-01-01', '2026-09-12');
const shown = (answer: LedgerAnswer) => ledgerShown(ledgerFigures(list(answer)), answer, formats, times);
const layout = (answer: LedgerAnswer, widthPx: number) =>
  ledgerLayout(shown(answer), { widthPx, barsPx: 186, carpetPx: 200 });

describe('the columns', () => {
  it('are days as long as days can be told apart, else weeks, else months', () => {
    const year = list(YEARS).slice(-365);
    expect(ledgerColumns(year, 1136)).toMatchObject({ bin: 'day', days: 365 });
    expect(ledgerColumns(year, 300).bin).toBe('week');
    expect(ledgerColumns(list(YEARS), 1136).bin).toBe('week');
    const decade = Array.from({ length: 10 }, () => year).flat();
    expect(ledgerColumns(decade, 300).bin).toBe('month');
  });

  it('are the mean of the whole days of a week, which begins on Monday', () => {
    const days = list(SUMMER).slice(0, 60);
    const { list: weeks } = ledgerColumns(days, 60);
    expect(weeks.at(1)!.days[0]!.date).toBe('2026-06-08');
    expect(weeks.every(w => w.to - w.from <= 7)).toBe(true);
    expect(weeks.reduce((sum, w) => sum + w.days.length, 0)).toBe(60);
    const partly = weeks.find(w => w.days.some(d => d.kind === 'partly'))!;
    const whole = partly.days.filter(d => d.kind === 'whole').map(d => d.day!.solarWh);
    expect(partly).toMatchObject({ kind: 'whole' });
    expect(partly.solarWh).toBeCloseTo(whole.reduce((a, b) => a + b, 0) / whole.length);
  });

  it('hold nothing where no day of theirs is recorded', () => {
    const lent = list(SUMMER).filter(d => /2026-08-0[567]/.test(d.date));
    expect(ledgerColumns(lent, 10).list.every(c => c.kind === 'missing' && c.solarWh === null)).toBe(true);
  });
});

describe('the carpet', () => {
  const columns = ledgerColumns(list(SUMMER), 1136);
  const carpet = ledgerCarpet(columns, 30)!;
  const cell = (date: string, hour: number) => {
    const day = list(SUMMER).findIndex(d => d.date === date);
    return carpet.cells[((hour * 60 - carpet.fromMin) / 30) * carpet.days + day]!;
  };

  it('spans the hours that ever had sun', () => {
    expect([carpet.fromMin % 60, carpet.toMin % 60]).toEqual([0, 0]);
    expect(carpet.fromMin).toBeLessThanOrEqual(6 * 60);
    expect(carpet.toMin).toBeGreaterThanOrEqual(20 * 60);
    expect(carpet.rows).toBe((carpet.toMin - carpet.fromMin) / 30);
  });

  it('leaves what was not recorded bare, and darkness not', () => {
    expect(cell('2026-07-26', 10)).toBe(0);
    expect(cell('2026-07-26', 13)).toBeGreaterThan(2);
    expect(cell('2026-08-06', 13)).toBe(0);
    expect(cell('2026-09-11', 6)).toBe(1);
  });

  it('has its darkest step at the most watts and none above', () => {
    expect(Math.max(...carpet.cells)).toBe(STEPS);
    expect(inkOf(0)).toBe(0);
    for (let step = 1; step < STEPS; step++) expect(inkOf(step)).toBeLessThan(inkOf(step + 1));
  });

  it('is one pixel a cell, of one ink and as much of it as the step tells', () => {
    const pixels = carpetPixels(carpet, [10, 20, 30]);
    expect(pixels).toHaveLength(carpet.rows * carpet.days * 4);
    const bare = carpet.cells.indexOf(0);
    expect([...pixels.slice(bare * 4, bare * 4 + 4)]).toEqual([0, 0, 0, 0]);
    const dark = carpet.cells.indexOf(STEPS);
    expect([...pixels.slice(dark * 4, dark * 4 + 3)]).toEqual([10, 20, 30]);
  });

  it('averages the days of a week, without those that are not recorded', () => {
    const weeks = ledgerCarpet(ledgerColumns(list(SUMMER), 100), 30)!;
    expect(weeks.days).toBe(carpet.days);
    const row = ((13 * 60 - weeks.fromMin) / 30) * weeks.days;
    const first = list(SUMMER).findIndex(d => d.date === '2026-08-03');
    expect(new Set(weeks.cells.slice(row + first, row + first + 7)).size).toBe(1);
    expect(weeks.cells[row + first]).toBeGreaterThan(1);
  });

  it('is none where no sun is recorded', () => {
    const dark = ledgerSeason('2026-07-01', '2026-07-03');
    dark.carpet.rows = dark.carpet.rows.map(row => row.map(() => 0));
    expect(ledgerCarpet(ledgerColumns(list(dark), 300), 30)).toBeNull();
  });
});

describe('the note of shade', () => {
  it('names the hour at which clear days dip, where the account holds shade', () => {
    const seen = shadeSeen(list(SUMMER), 30)!;
    expect(seen.days).toBeGreaterThan(60);
    expect(seen.atMin! / 60).toBeGreaterThan(16);
    expect(seen.atMin! / 60).toBeLessThan(18.5);
  });

  it('is none where the account holds no shade, whatever the carpet looks like', () => {
    const answer = summer('shed', '2026-04-01', '2026-09-12');
    for (const day of answer.days) day.whereItWent = { ...day.whereItWent!, shadeWh: 0 };
    expect(shadeSeen(list(answer), 30)).toBeNull();
  });

  it('names no hour where none dips', () => {
    const answer = ledgerSeason('2026-07-01', '2026-07-20', { shaded: false });
    for (const day of answer.days) day.whereItWent = { ...day.whereItWent!, shadeWh: 60 };
    expect(shadeSeen(list(answer), 30)).toMatchObject({ days: 20, atMin: null, meanWh: 60 });
  });
});

describe('the layout', () => {
  it('puts bars and carpet on the same days, under one line', () => {
    const made = layout(SUMMER, 1200);
    expect(made.columns.bin).toBe('day');
    expect(made.bars.whole.match(/M/g)).toHaveLength(96);
    expect(made.bars.partly.match(/M/g)).toHaveLength(3);
    expect(made.bars.today.match(/M/g)).toHaveLength(1);
    expect(made.carpet!.days).toBe(104);
    expect(made.clear!.path.match(/[ML]/g)).toHaveLength(104);
    expect(made.names.map(({ text }) => text)).toEqual(['June', 'July', 'August', 'September']);
    expect(made.scale.map(({ text }) => text.replace(/\W/g, ' '))).toEqual(['1 000', '2 000']);
  });

  it('hatches spans with their reason and ticks changes, words clear of each other', () => {
    const { spans, marks } = layout(SUMMER, 1200);
    expect(spans).toHaveLength(1);
    expect(marks.map(m => m.text.split(':')[0]).sort()).toEqual(['lent', 'panels changed', 'tariff changed']);
    for (const a of marks)
      for (const b of marks) if (a !== b && a.row === b.row) expect(Math.abs(a.textX - b.textX)).toBeGreaterThan(60);
  });

  it('keeps all words within a narrow drawing: briefly, and by letters', () => {
    const { names, marks, letters, shade, widthPx } = layout(SUMMER, 328);
    for (const { x, text } of names) expect(x + textPx(text)).toBeLessThanOrEqual(widthPx + 2);
    expect(marks).toEqual([]);
    expect(letters.map(({ letter, text }) => `${letter} ${text.split(':')[0]}`)).toEqual([
      'a panels changed',
      'b lent',
      'c tariff changed',
    ]);
    expect(shade!.label.text).toBe('shade at about 17:30');
  });

  it('breaks the clear-sky line where it is not known, and goes without it', () => {
    const answer = ledgerSeason('2026-07-01', '2026-07-09');
    answer.days[4]!.clearSkyWh = null;
    expect(layout(answer, 1200).clear!.path.match(/M/g)).toHaveLength(2);
    expect(layout(ledgerSeason('2026-07-01', '2026-07-09', { placed: false }), 1200).clear).toBeNull();
  });

  it('holds ten years as well as one day', () => {
    expect(layout(ledgerSeason('2026-07-01', '2026-07-01'), 1200).bars.today).toContain('M');
    const many = layout(YEARS, 1200);
    expect(many.columns.bin).toBe('week');
    expect(many.names.map(({ text }) => text)).toEqual(expect.arrayContaining(['2025', '2026']));
  });

  it('goes without the carpet where there is none', () => {
    const answer = ledgerSeason('2026-07-01', '2026-07-09');
    answer.carpet.rows = [];
    expect(layout(answer, 1200)).toMatchObject({ carpet: null, shade: null, hours: [] });
  });
});

describe('marks under the axis', () => {
  const rows = { top: 0, names: 20, first: 40, rowPx: 20 };
  const axis = (right: number, pxPerDay: number) => ({ left: 60, right, x: (day: number) => 60 + day * pxPerDay });
  const changed = (...days: number[]) => days.map(at => ({ at, text: 'something was changed' }));

  it('never lead through the words of another one', () => {
    const placed = placeMarks(changed(3, 4, 40, 41, 90), axis(1000, 10), rows)!;
    expect(placed).toHaveLength(5);
    for (const a of placed)
      for (const b of placed) {
        if (a === b || a.row < b.row) continue;
        const [from, to] =
          b.anchor === 'start' ? [b.textX, b.textX + textPx(b.text)] : [b.textX - textPx(b.text), b.textX];
        expect(a.x > from && a.x < to).toBe(false);
      }
  });

  it('become letters with footnotes where they do not all find room', () => {
    const moments = changed(...Array.from({ length: 30 }, (_, i) => i / 3));
    expect(placeMarks(moments, axis(300, 1), rows)).toBeNull();
    const letters = letterMarks(moments, axis(300, 1), rows);
    expect([letters[0]!.letter, letters[25]!.letter, letters[26]!.letter]).toEqual(['a', 'z', 'aa']);
    for (const [i, { x }] of letters.slice(1).entries()) expect(x - letters[i]!.x).toBeGreaterThanOrEqual(10);
  });
});
