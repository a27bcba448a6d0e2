import { describe, expect, it } from 'vitest';
import { firstPeriod, periodOf, stepped } from '#energy/ledger/periods';
import type { LedgerAnswer, LedgerDay } from '#messages';
import { formatsFor, timesFor } from '../../web/format.ts';
import { ledgerShown } from '../../web/views/ledger/drawing.ts';
import { type LedgerFigures, ledgerFigures, listDays, withToday } from '../../web/views/ledger/figures.ts';
import { titleOf } from '../../web/views/ledger/period-choice.ts';
import { ledgerSentence } from '../../web/views/ledger/sentence.ts';
import { dayRow, sumRow } from '../../web/views/ledger/tables.ts';
import { shedDay, ZONE } from '../support/honey-shed.ts';
import { ledgerSeason, summer } from '../support/ledger-season.ts';

const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');
const TODAY = '2026-11-08';
const NOW = { today: TODAY, missing: [] };

/** A few days of known sums: whole ones, one in part, missing ones, today. */
function week(): LedgerAnswer {
  const answer = ledgerSeason('2026-10-31', TODAY, {
    missing: ['2026-11-01', '2026-11-02', '2026-11-03', '2026-11-07'],
  });
  const known: Record<string, [solarWh: number, coveragePct: number, inputWh: number]> = {
    '2026-10-31': [900, 100, 900],
    '2026-11-04': [1200, 100, 1200],
    '2026-11-05': [400, 38.5, 400],
    '2026-11-06': [1400, 99, 1900],
    [TODAY]: [600, 100, 600],
  };
  for (const day of answer.days) {
    const [solarWh, coveragePct, inputWh] = known[day.date]!;
    Object.assign(day, {
      solarWh,
      coveragePct,
      inputWh,
      clearSkyWh: 1500,
      finalYieldH: solarWh / 400,
      referenceYieldH: 4,
    });
  }
  return answer;
}
const figuresOf = (answer: LedgerAnswer, to = TODAY): LedgerFigures => ledgerFigures(listDays(answer, answer.days, to));
const season = periodOf('season', TODAY);
const figures = figuresOf(week());

describe('the figures of the ledger', () => {
  it('sum all that was recorded, average only whole days, and never count today as whole', () => {
    expect(figures.all.solarWh).toBe(4500);
    expect(figures.all.wholeDays).toBe(3);
    expect(figures.meanWh).toBeCloseTo(3500 / 3);
    expect(figures.clearMeanWh).toBe(1500);
    expect(figures.notSunWh).toBe(500);
  });

  it('give a place to days that are not in the record, with what a clear sky would have given', () => {
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
    expect(figures.all.missingDays).toBe(4);
    expect(figures.days[1]!.clearSkyWh).toBeGreaterThan(0);
    expect(figures.days[1]!.row).toBeNull();
  });

  it('sum months, with what of them was recorded', () => {
    expect(figures.months.map(m => [m.month, m.solarWh, m.wholeDays, m.days])).toEqual([
      ['2026-10', 900, 1, 1],
      ['2026-11', 3600, 2, 8],
    ]);
    expect(figures.months[1]!.coveragePct).toBeCloseTo((100 + 38.5 + 99 + 100) / 8);
    expect(figures.months[0]!.finalYieldH).toBeCloseTo(2.25);
  });

  it('weigh the performance ratios of days by their light while nothing held the panels back', () => {
    const answer = week();
    answer.days = answer.days.slice(0, 2);
    Object.assign(answer.days[0]!, { performanceRatio: 0.9, referenceYieldH: 6 });
    Object.assign(answer.days[1]!, { performanceRatio: 0.3, referenceYieldH: 2 });
    expect(figuresOf(answer).all.performanceRatio).toBeCloseTo((0.9 * 6 + 0.3 * 2) / 8);
    Object.assign(answer.days[0]!, { openReferenceYieldH: 3 });
    expect(figuresOf(answer).all.performanceRatio).toBeCloseTo((0.9 * 3 + 0.3 * 2) / 5);
  });

  it('name the best and the worst whole day, and neither of fewer than two', () => {
    expect([figures.best!.date, figures.worst!.date]).toEqual(['2026-11-06', '2026-10-31']);
    const answer = week();
    answer.days = answer.days.slice(0, 1);
    expect(figuresOf(answer, '2026-10-31').best).toBeNull();
  });

  it('are nothing where nothing is recorded', () => {
    const none = { ...week(), days: [], missing: [] };
    expect(figuresOf(none)).toMatchObject({
      days: [],
      meanWh: null,
      months: [],
      all: { solarWh: 0, finalYieldH: null },
    });
  });

  it('take today as it is told live, and keep of it what only the record knows', () => {
    const answer = week();
    const told = shedDay(TODAY, { solarWh: 777 });
    const days = withToday(answer.days, told);
    expect(days).toHaveLength(answer.days.length);
    expect(days.at(-1)).toMatchObject({ solarWh: 777, clearSkyWh: 1500, finalYieldH: 777 / 400 });
    const tomorrow = withToday(answer.days, shedDay('2026-11-09', { solarWh: 5 }));
    expect(tomorrow.at(-1)).toMatchObject({ date: '2026-11-09', clearSkyWh: null });
    expect(listDays(answer, tomorrow, '2026-11-09').at(-1)!.kind).toBe('today');
  });

  it('leave out today while nothing of it is recorded: it is not missing yet', () => {
    const answer = { ...week(), today: '2026-11-09' };
    expect(figuresOf(answer, '2026-11-09').days.at(-1)).toMatchObject({ date: TODAY, kind: 'whole' });
    const silent = {
      solarWh: 0,
      inputWh: 0,
      outputWh: 0,
      coveragePct: 0,
      coveredMs: 0,
      gapMs: 9_000_000,
      solarPeakW: 0,
    };
    const told = shedDay('2026-11-09', { ...silent, stateOfChargeMinPct: null, stateOfChargeMaxPct: null });
    expect(withToday(answer.days, told)).toEqual(answer.days);
    expect(withToday([], told)).toEqual([]);
  });

  it('put a date together that stands twice, since the zone was changed on it', () => {
    const answer = week();
    const last = answer.days.length - 2;
    const [one, row] = [answer.days[last]!, answer.carpet.rows[last]!];
    const share = (day: LedgerDay, part: number): LedgerDay => ({
      ...day,
      solarWh: day.solarWh * part,
      coveragePct: 100 * part,
      clearSkyWh: day.clearSkyWh! * part,
      finalYieldH: day.finalYieldH! * part,
      referenceYieldH: day.referenceYieldH! * part,
      openReferenceYieldH: day.referenceYieldH! * part,
      performanceRatio: part,
      worth: 8 * part,
    });
    answer.days.splice(last, 1, share(one, 0.25), share({ ...one, zone: 'Asia/Kathmandu' }, 0.75));
    const halves = [row.map((w, i) => (i < 24 ? w : null)), row.map((w, i) => (i < 24 ? null : w))];
    answer.carpet.rows.splice(last, 1, ...halves);
    const told = figuresOf(answer);
    expect(told.all.solarWh).toBeCloseTo(4500, 6);
    expect(told.days).toHaveLength(9);
    const day = told.days.find(({ date }) => date === one.date)!;
    expect(day).toMatchObject({ kind: 'whole', clearSkyWh: 1500, row });
    expect(day.day!).toMatchObject({ finalYieldH: 1400 / 400, referenceYieldH: 4, worth: 8 });
    expect(day.day!.performanceRatio).toBeCloseTo(0.25 * 0.25 + 0.75 * 0.75, 6);
  });
});

describe('the stretch shown', () => {
  it('is a month, the half-year of long or short days, a calendar year, or everything', () => {
    expect(periodOf('month', '2024-02-10')).toMatchObject({ from: '2024-02-01', to: '2024-02-29' });
    expect(periodOf('season', '2026-09-30')).toMatchObject({ from: '2026-04-01', to: '2026-09-30' });
    expect(periodOf('season', '2026-01-15')).toMatchObject({ from: '2025-10-01', to: '2026-03-31' });
    expect(periodOf('season', '2026-12-31')).toMatchObject({ from: '2026-10-01', to: '2027-03-31' });
    expect(periodOf('year', '2026-07-01')).toMatchObject({ from: '2026-01-01', to: '2026-12-31' });
  });

  it('steps to the one before and after it, and back a year', () => {
    expect(stepped(season, 'earlier')).toEqual(periodOf('season', '2026-05-01'));
    expect(stepped(stepped(season, 'earlier'), 'later')).toEqual(season);
    expect(stepped(season, 'yearEarlier')).toMatchObject({ from: '2025-10-01', to: '2026-03-31' });
    expect(stepped(periodOf('month', '2026-01-05'), 'earlier')).toMatchObject({ from: '2025-12-01', to: '2025-12-31' });
    expect(stepped(periodOf('month', '2024-02-29'), 'yearEarlier')).toMatchObject({ to: '2023-02-28' });
  });

  it('opens with the season, or with the year while the season is young', () => {
    expect(firstPeriod(TODAY, null)).toEqual(season);
    expect(firstPeriod('2026-10-09', null)).toEqual(periodOf('year', '2026-10-09'));
    expect(firstPeriod(TODAY, 'month').kind).toBe('month');
    expect(firstPeriod(TODAY, 'fortnight').kind).toBe('season');
  });

  it('is named by its months', () => {
    expect(titleOf(season, times)).toBe('October 2026 to March 2027');
    expect(titleOf(periodOf('season', '2026-05-05'), times)).toBe('April to September 2026');
    expect(titleOf(periodOf('year', TODAY), times)).toBe('2026');
  });
});

describe('the words of the ledger', () => {
  it('say what came since when, the mean beside a clear day, and what is missing', () => {
    const { headline, sure } = ledgerSentence(figures, season, NOW, formats, times);
    expect(plain(headline)).toBe('4 500 Wh from the sun since 31 October.');
    expect(plain(sure.map(p => p.text).join(''))).toBe(
      'The 3 whole days averaged 1 167 Wh; a clear day could give 1 500 Wh. One day is only partly recorded. 4 days are not recorded at all. 500 Wh more came in that is not known to be sun; it is not counted.',
    );
  });

  it('name a stretch that is over by its ends', () => {
    const past = figuresOf(summer('shed', '2026-04-01', '2026-08-31'), '2026-08-31');
    const period = { kind: 'season', from: '2026-04-01', to: '2026-08-31' } as const;
    expect(plain(ledgerSentence(past, period, NOW, formats, times).headline)).toMatch(
      /^[\d.]+ kWh from the sun from 1 June to 31 August\.$/,
    );
    const month = { kind: 'month', from: '2026-07-01', to: '2026-07-31' } as const;
    const july = figuresOf(summer('shed', month.from, month.to), month.to);
    expect(plain(ledgerSentence(july, month, NOW, formats, times).headline)).toMatch(/ from the sun in July 2026\.$/);
  });

  it('promise nothing of an empty record, and tell an empty stretch from it', () => {
    const none = ledgerFigures([]);
    expect(ledgerSentence(none, periodOf('all', TODAY), NOW, formats, times).headline).toBe('Nothing gathered yet.');
    expect(ledgerSentence(none, season, NOW, formats, times).headline).toBe('Nothing gathered yet.');
    const silent = { today: TODAY, missing: week().missing };
    expect(ledgerSentence(none, season, silent, formats, times).headline).toMatch(/^Nothing is recorded from /);
    const last = stepped(season, 'yearEarlier');
    expect(ledgerSentence(none, last, NOW, formats, times).headline).toBe(
      'Nothing is recorded from 1 October 2025 to 31 March.',
    );
  });

  it('say nothing of a clear sky that is not known', () => {
    const answer = ledgerSeason('2026-10-31', TODAY, { placed: false });
    const { sure } = ledgerSentence(figuresOf(answer), season, NOW, formats, times);
    expect(plain(sure.map(p => p.text).join(''))).toMatch(/^The 8 whole days averaged [\d ]+ Wh\.$/);
  });

  it('tell each day with what of it was recorded and what a clear sky gives', () => {
    const answer = week();
    const shown = ledgerShown(figures, answer, formats, times);
    const read = (i: number) => plain(shown.read({ ...column(i), days: [figures.days[i]!] }, 'day'));
    const column = (i: number) => ({
      from: i,
      to: i + 1,
      kind: figures.days[i]!.kind,
      solarWh: null,
      clearSkyWh: null,
    });
    expect([0, 1, 5, 8].map(read)).toEqual([
      '31 October: 900 Wh; a clear sky gives 1 500 Wh',
      '1 November: not recorded',
      '5 November: 400 Wh, 38 % of the day recorded; a clear sky gives 1 500 Wh',
      'today so far: 600 Wh; a clear sky gives 1 500 Wh',
    ]);
    expect(dayRow(figures.days[5]!, TODAY, formats, times).map(plain)).toEqual([
      '5 November',
      '400 Wh',
      '1 500 Wh',
      '400 Wh',
      '920 Wh',
      '38 %',
      '44 % to 82 %',
    ]);
  });

  it('tell of each month how much of it was recorded, and a dash for a yield that is not known', () => {
    expect(sumRow('November', figures.months[1]!, formats).map(plain)).toEqual([
      'November',
      '3 600 Wh',
      '42 %',
      '2 of 8',
      '9.0',
      '16.0',
      expect.stringMatching(/^\d+ %$/),
    ]);
    const answer = ledgerSeason('2026-10-31', TODAY, { placed: false });
    expect(sumRow('together', figuresOf(answer).all, formats).slice(-2)).toEqual(['–', '–']);
  });
});
