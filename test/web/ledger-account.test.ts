import { describe, expect, it } from 'vitest';
import type { LedgerAnswer } from '#messages';
import { paybackDrawing, paybackLayout } from '../../web/charts/ledger-payback.ts';
import { formatsFor, timesFor } from '../../web/format.ts';
import { ledgerShown } from '../../web/views/ledger/drawing.ts';
import { type ListedDay, ledgerFigures, listDays } from '../../web/views/ledger/figures.ts';
import { changesOf, spansOf } from '../../web/views/ledger/happened.ts';
import { paybackOf } from '../../web/views/ledger/payback.ts';
import { CAUSES, restOf, strokesOf } from '../../web/views/ledger/rest.ts';
import { ZONE } from '../support/honey-shed.ts';
import { ledgerSeason, summer, years } from '../support/ledger-season.ts';

const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');
const list = (answer: LedgerAnswer): ListedDay[] => listDays(answer, answer.days, answer.today);
const YEARS = years('shed', '2000-01-01', '2026-09-12');
const SUMMER = summer('shed', '2026-04-01', '2026-09-12');

describe('where the rest went', () => {
  it('parts a clear sky into what came in and what took the rest, without a remainder', () => {
    const rest = restOf(list(SUMMER))!;
    const harvest = SUMMER.days.reduce((sum, day) => sum + day.solarWh, 0);
    expect(rest.harvestWh).toBeCloseTo(harvest, 0);
    const parts = CAUSES.reduce((sum, cause) => sum + rest.parts[cause], 0);
    expect(rest.harvestWh + parts).toBeCloseTo(rest.clearSkyWh, 6);
    expect(rest.parts.shadeWh).toBeGreaterThan(0);
  });

  it('gives a missing day to the owner’s reason where there is one, else to the record', () => {
    const rest = restOf(list(SUMMER))!;
    const missing = (dates: RegExp) =>
      SUMMER.missing.filter(m => dates.test(m.date)).reduce((sum, m) => sum + m.clearSkyWh!, 0);
    expect(rest.parts.notOutWh).toBeCloseTo(missing(/2026-08-0[567]/), 3);
    const ofDays = SUMMER.days.reduce((sum, day) => sum + day.whereItWent!.notRecordedWh, 0);
    expect(rest.parts.notRecordedWh).toBeCloseTo(ofDays + missing(/2026-07-25/), 3);
  });

  it('gives it by the part of the day that the owner told of, wherever on earth its noon is', () => {
    const answer = ledgerSeason('2026-07-01', '2026-07-03', { missing: ['2026-07-02'] });
    answer.missing = [{ date: '2026-07-02', clearSkyWh: 2000, notOutWh: 1500 }];
    const before = restOf(list({ ...answer, missing: [{ date: '2026-07-02', clearSkyWh: 0, notOutWh: 0 }] }))!;
    const { parts } = restOf(list(answer))!;
    expect(parts.notOutWh).toBeCloseTo(1500, 6);
    expect(parts.notRecordedWh - before.parts.notRecordedWh).toBeCloseTo(500, 6);
  });

  it('counts of the day that runs only what lies behind', () => {
    const answer = ledgerSeason('2026-07-01', '2026-07-02', { today: '2026-07-02' });
    const [first, today] = answer.days;
    expect(today!.whereItWent!.aheadWh).toBeGreaterThan(0);
    expect(restOf(list(answer))!.clearSkyWh).toBeCloseTo(
      first!.clearSkyWh! + today!.clearSkyWh! - today!.whereItWent!.aheadWh,
      6,
    );
  });

  it('says nothing without a clear sky, and counts the days of which nothing can be said', () => {
    const blind = ledgerSeason('2026-07-01', '2026-07-05', { placed: false });
    expect(restOf(list(blind))).toBeNull();
    const answer = ledgerSeason('2026-07-01', '2026-07-05');
    answer.days[2]!.whereItWent = null;
    expect(restOf(list(answer))).toMatchObject({ days: 4, unknownDays: 1 });
  });

  it('is drawn end to end and ends with the clear sky', () => {
    const strokes = strokesOf(restOf(list(SUMMER))!);
    expect(strokes[0]).toMatchObject({ cause: 'harvest', from: 0 });
    for (const [i, stroke] of strokes.slice(1).entries())
      if (stroke.wh > 0) expect(stroke.from).toBeCloseTo(strokes[i]!.to, 6);
    expect(strokes.map(s => s.cause)).not.toContain('portLimitWh');
    expect(Math.max(...strokes.map(s => s.to))).toBeCloseTo(1, 2);
  });

  it('stays within its line where more came in than the model gives', () => {
    const answer = ledgerSeason('2026-07-01', '2026-07-03', { shaded: false });
    for (const day of answer.days) {
      day.whereItWent = { ...day.whereItWent!, cloudWh: 0, notRecordedWh: 0, fullWh: 0, aheadWh: 0, otherWh: -300 };
      day.clearSkyWh = day.solarWh - 300;
    }
    const strokes = strokesOf(restOf(list(answer))!);
    expect(strokes.map(s => s.cause)).toEqual(['harvest', 'otherWh']);
    for (const { from, to } of strokes) {
      expect(from).toBeGreaterThanOrEqual(0);
      expect(to).toBeLessThanOrEqual(1);
      expect(from).toBeLessThanOrEqual(to);
    }
  });
});

/** What a template and those within it hold, in order. */
const valuesIn = (value: unknown): unknown[] =>
  typeof value === 'object' && value !== null && 'values' in value && Array.isArray(value.values)
    ? value.values.flatMap(valuesIn)
    : [value];

describe('what it was worth beside what the set cost', () => {
  const all = { begins: true, running: true };
  const told = (answer: LedgerAnswer, range = all) => paybackOf(list(answer), answer.money!, range)!;

  it('is not yet to be said of less than a year', () => {
    expect(told(SUMMER).when).toEqual({ kind: 'notYet', why: 'short' });
    expect(told(SUMMER).worth).toBeCloseTo(SUMMER.days.reduce((sum, day) => sum + day.worth!, 0));
  });

  it('names the day on which the set had come back', () => {
    const answer = YEARS;
    const { when, sums } = told(answer);
    expect(when.kind).toBe('back');
    const date = when.kind === 'back' ? when.date! : '';
    expect(sums.find(sum => sum.date === date)!.worth).toBeGreaterThanOrEqual(350);
    expect(sums[sums.findIndex(sum => sum.date === date) - 1]!.worth).toBeLessThan(350);
  });

  it('gives a range that widens with what was not recorded', () => {
    const money = { currency: 'EUR', paid: 900 };
    const months = (answer: LedgerAnswer) => {
      const { when } = told({ ...answer, money });
      if (when.kind !== 'range') throw new Error(when.kind);
      expect(when.from > answer.today).toBe(true);
      return (Date.parse(when.to) - Date.parse(when.from)) / 86_400_000;
    };
    const whole = years('shed', '2025-01-01', '2026-09-12');
    const gaps = { ...whole, days: whole.days.map((day, i) => (i % 3 === 0 ? { ...day, coveragePct: 10 } : day)) };
    expect(months(gaps)).toBeGreaterThan(months(whole));
  });

  it('needs the price paid, the whole record and a pace', () => {
    const answer = YEARS;
    const why = (changed: LedgerAnswer, range = all) => {
      const { when } = told(changed, range);
      return when.kind === 'notYet' ? when.why : when.kind;
    };
    expect(why({ ...answer, money: { currency: 'EUR', paid: null } })).toBe('notPaid');
    expect(why(answer, { begins: false, running: true })).toBe('past');
    expect(why(answer, { begins: true, running: false })).toBe('past');
    expect(why({ ...answer, money: { currency: 'EUR', paid: 900_000 } })).toBe('nothing');
  });

  it('goes on from what earlier days were worth', () => {
    const money = { currency: 'EUR', paid: 690, before: { sinceDate: '2025-06-01', worth: 100 } };
    const payback = told({ ...SUMMER, money }, { begins: false, running: true });
    expect(payback).toMatchObject({ fromTheStart: true, sinceDate: '2025-06-01' });
    expect(payback.worth).toBeGreaterThan(100);
    const layout = paybackLayout({
      points: [
        { day: 1, worth: 101 },
        { day: 10, worth: 120 },
      ],
      beforeDays: 90,
      beforeWorth: 100,
      paid: 690,
      worthText: '120 EUR',
    });
    expect(layout.before).toMatch(/^M1 104L/);
    expect(layout.known).not.toContain('104');
  });

  it('names no day where the set had come back before the days shown', () => {
    const money = { currency: 'EUR', paid: 90, before: { sinceDate: '2025-06-01', worth: 100 } };
    expect(told({ ...SUMMER, money }, { begins: false, running: true }).when).toEqual({ kind: 'back', date: null });
  });

  it('begins with the record where nothing before was worth anything', () => {
    const money = { currency: 'EUR', paid: 690, before: null };
    const payback = told({ ...SUMMER, money }, { begins: false, running: true });
    expect(payback).toMatchObject({ fromTheStart: true, when: { kind: 'notYet', why: 'short' } });
  });

  it('has its sum written where the line ends, however little was paid', () => {
    const points = [
      { day: 1, worth: 5 },
      { day: 90, worth: 100 },
    ];
    for (const paid of [10, 95, 100, 105, 1000]) {
      const layout = paybackLayout({ points, beforeDays: 0, beforeWorth: 0, paid, worthText: 'the sum' });
      const text = { label: '', from: '', to: '', worth: 'the sum', paid: 'cost' };
      const drawn = valuesIn(paybackDrawing(layout, text));
      expect(drawn[drawn.indexOf('the sum') - 1]).toBe(layout.end.y + 4);
    }
  });

  it('has room for a sum in any currency, and writes the cost where the line does not go', () => {
    const points = [
      { day: 1, worth: 5 },
      { day: 90, worth: 100 },
    ];
    const layoutOf = (paid: number, worthText: string) =>
      paybackLayout({ points, beforeDays: 0, beforeWorth: 0, paid, worthText });
    // Strong digits of 13 px are 7.5 px wide.
    for (const text of ['7.55 EUR', '1 249 000 IDR', '73 252 740 EUR'])
      expect(layoutOf(10, text).right + 8 + 7.5 * text.length).toBeLessThanOrEqual(400);
    expect([10, 90, 200].map(paid => layoutOf(paid, '100 EUR').paidAtEnd)).toEqual([true, false, false]);
  });

  it('is nothing where no day has a worth', () => {
    const answer = ledgerSeason('2026-07-01', '2026-07-03', { money: null });
    expect(paybackOf(list(answer), { currency: 'EUR', paid: 1 }, all)).toBeNull();
  });
});

describe('what happened', () => {
  it('is a change of a setting from its day on; what began with the record is none', () => {
    expect(changesOf(SUMMER.facts, formats).map(c => plain(c.text))).toEqual([
      'panels changed: 400 W',
      'tariff changed: 0.34 EUR a kWh',
    ]);
  });

  it('leaves out what means nothing here, and survives what it cannot read', () => {
    const at = (day: number) => `2026-07-0${day}T10:00:00Z`;
    const facts = [
      { validFromAt: at(1), key: 'standing', valueJson: '"a"' },
      { validFromAt: at(2), key: 'standing', valueJson: '"b"' },
      { validFromAt: at(1), key: 'panel', valueJson: '[]' },
      { validFromAt: at(3), key: 'panel', valueJson: '{no json' },
      { validFromAt: at(4), key: 'panel', valueJson: '{no json' },
    ];
    expect(changesOf(facts, formats)).toEqual([{ atMs: Date.parse(at(3)), text: 'panels changed' }]);
  });

  it('tells a loan with its levels before and after', () => {
    expect(spansOf(SUMMER.spans, formats).map(s => plain(s.text))).toEqual([
      'lent: to the neighbour (lent at 92 %, back at 31 %)',
    ]);
  });

  it('keeps what the owner said apart from silences the agent saw', () => {
    const silence = { ...SUMMER.spans[0]!, reason: 'noReading', note: '', beforePct: null, afterPct: null };
    expect(spansOf([...SUMMER.spans, silence], formats).map(s => s.own)).toEqual([true, false]);
    const missing = { ...SUMMER, spans: [silence] };
    expect(ledgerShown(ledgerFigures(list(missing)), missing, formats, times).spans).toEqual([]);
  });
});
