import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { COMMON_LOADS } from '#energy/estimates/plan/common-loads';
import type { PlanAnswer, PlanSettings } from '#messages';
import { monthsLayout, stepsTo } from '../../web/charts/months-layout.ts';
import { formatsFor } from '../../web/format.ts';
import { differences } from '../../web/views/outlast/plan/figures.ts';
import { commonDraft, draftOf, loadOf, seenDraft } from '../../web/views/outlast/plan/load-draft.ts';
import { reckon, reserveOf, worstOf } from '../../web/views/outlast/plan/reckoned.ts';
import { hoursText, leastOf, planSentence } from '../../web/views/outlast/plan/sentence.ts';
import { overNight, wallDays } from '../../web/views/outlast/plan/wall.ts';
import { assumedLines, cautionLines, whyLines } from '../../web/views/outlast/plan/why.ts';
import * as words from '../../web/words/plan.ts';
import { planned, shedPlan } from '../support/plans.ts';
import { gradeOf } from '../support/reading-level.ts';

const formats = formatsFor('en-GB', 'C');
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
const monthName = (month: number) => words.MONTH_LETTERS[month - 1]!;
const told = (over: Partial<PlanAnswer> = {}, plan: Partial<PlanSettings> = {}) => {
  const basis = shedPlan(over);
  const asked = { ...basis.plan, ...plan };
  const { headline, sure } = planSentence(basis, asked, reckon(basis, asked), formats, monthName);
  return [plain(headline), plain(sure.join(' '))];
};

describe('the sentence', () => {
  it('tells how long it runs, at least and in the middle, from where, and the month the sun keeps up least', () => {
    const [headline, sure] = told();
    expect(headline).toMatch(/^This runs for \d+ h, at least \d+\.$/);
    expect(sure).toMatch(/^From 100 % down to 10 %, on the battery alone\. In D the sun keeps up on no day of ten\.$/);
    expect(told({}, { load: [planned('router', 8)] })[1]).toMatch(
      /keeps up on (one day|\d days) of ten|nine days of ten/,
    );
    expect(told({ place: null })[1]).toContain(words.NO_PLACE);
  });

  it('says first what is too big, then how long the rest runs', () => {
    const load = [planned('Router', 8), planned('Kettle', 2200, { hoursPerDay: 0.2 })];
    const [headline, sure] = told({}, { load });
    expect(headline).toBe('Kettle is too big for it.');
    expect(sure).toMatch(/^What is not too big runs for .+, at least .+\. From 100 %/);
    expect(told({}, { load: [load[1]!, planned('Heater', 2000)] })).toEqual(['2 loads are too big for it.', '']);
    expect(told({}, { load: [planned('Fan', 800), planned('Pump', 700)] })[1]).toMatch(/^Not all of it runs at once\./);
  });

  it('says what is missing where nothing can be said', () => {
    expect(told({}, { load: [] })).toEqual([words.EMPTY, words.EMPTY_SURE]);
    expect(told({ ratedWh: null })).toEqual([words.NO_SIZE, words.NO_SIZE_SURE]);
  });

  it('tells spans as coarse as they are known, the least never longer than it is', () => {
    const texts = [0.33, 1.5, 2.99, 13.6, 47.4, 61, 200].map(hours => plain(hoursText(hours)));
    expect(texts).toEqual(['20 min', '1 h 30 min', '3 h', '14 h', '47 h', '2½ days', '8½ days']);
    expect(plain(hoursText(11.9, 'down'))).toBe('11 h');
    expect(leastOf({ p10: 11.2, p50: 14.1, p90: 18 }).map(plain)).toEqual(['14 h', '11']);
    expect(leastOf({ p10: 2.2, p50: 3.1, p90: 4 }).map(plain)).toEqual(['3 h', '2 h 10 min']);
    expect(leastOf({ p10: 40, p50: 52, p90: 60 }).map(plain)).toEqual(['2 days', '40 h']);
  });
});

describe('a load while it is typed', () => {
  it('is what was put in, and comes back the same', () => {
    const load = planned('Pump', 700, { startFactor: 6, hoursPerDay: 0.5, count: 2, mustStayOn: true });
    expect(loadOf(draftOf(load))).toEqual({ load });
    expect(
      loadOf({ ...draftOf(load), texts: { powerW: '1 200,5', startFactor: '1', hoursPerDay: '24', count: '1' } }),
    ).toMatchObject({ load: { powerW: 1200.5 } });
  });

  it('says beside each field what is wrong with it', () => {
    const read = loadOf({
      name: ' ',
      texts: { powerW: '0', startFactor: '0.5', hoursPerDay: '25', count: '1.5' },
      mustStayOn: false,
    });
    expect(Object.keys('wrong' in read ? read.wrong : {}).sort()).toEqual([
      'count',
      'hoursPerDay',
      'name',
      'powerW',
      'startFactor',
    ]);
  });

  it('may begin with any common load or one that was seen, whose start is that of its kind', () => {
    for (const common of COMMON_LOADS) {
      expect(loadOf(commonDraft(common))).toHaveProperty('load.name', common.name);
      expect(common.powerW).toBeGreaterThanOrEqual(common.range[0]);
      expect(common.powerW).toBeLessThanOrEqual(common.range[1]);
      expect(words.SOURCES[common.source]('1 W', '2 W')).not.toBe('');
    }
    const seen = seenDraft({ name: 'Chest freezer', powerW: 97.26, duty: 0.34, mustStayOn: true }, '');
    expect(seen).toMatchObject({
      name: 'Chest freezer',
      mustStayOn: true,
      texts: { powerW: '97.3', hoursPerDay: '8.2', startFactor: '7' },
    });
    expect(seenDraft({ name: null, powerW: 22, duty: 1, mustStayOn: false }, 'Draws 22 W')).toMatchObject({
      name: 'Draws 22 W',
    });
  });
});

describe('the drawing of the months', () => {
  const bars = Array.from({ length: 12 }, (_, i) => ({ lowWh: 40 * i, middleWh: 60 * i, highWh: 90 * i }));
  const at = (needWh: number | null, width = 800) =>
    monthsLayout(bars, needWh, words.MONTH_LETTERS, String, 'need', width, 240);

  it('puts every bar on the scale and within the picture, the need across them', () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0, max: 5000, noNaN: true }),
        fc.integer({ min: 288, max: 1400 }),
        (needWh, width) => {
          const layout = at(needWh, width);
          for (const bar of layout.bars) {
            expect(bar.x).toBeGreaterThanOrEqual(layout.left);
            expect(bar.x + bar.width).toBeLessThanOrEqual(width);
            expect(bar.y).toBeGreaterThanOrEqual(layout.topY);
            expect(bar.y + bar.height).toBeLessThanOrEqual(layout.baseY + 1e-9);
            expect(bar.height).toBeGreaterThan(0);
          }
          expect(layout.need!.y).toBeGreaterThanOrEqual(layout.topY);
          expect(layout.ticks.length).toBeLessThanOrEqual(5);
        },
      ),
    );
    expect(at(null).need).toBeNull();
    expect(at(330).bars.map(b => b.keeps)).toEqual(bars.map(b => b.middleWh >= 330));
    expect(stepsTo(2100)).toEqual([0, 1000, 2000]);
  });
});

describe('the hours of the wall', () => {
  it('are told once for days that go the same way, and over midnight in one stretch', () => {
    const night = Array.from({ length: 168 }, (_, h) => h % 24 < 6 || h % 24 >= 22);
    expect(wallDays(night)).toEqual([
      {
        from: 0,
        to: 6,
        spans: [
          [0, 6],
          [22, 24],
        ],
      },
    ]);
    expect(overNight(wallDays(night))).toEqual([{ from: 0, to: 6, spans: [[22, 6]] }]);
    const weekend = night.map((on, h) => h >= 120 || on);
    expect(overNight(wallDays(weekend))).toEqual([
      {
        from: 0,
        to: 4,
        spans: [
          [0, 6],
          [22, 24],
        ],
      },
      { from: 5, to: 6, spans: [[0, 24]] },
    ]);
    expect(wallDays(new Array(168).fill(false))).toEqual([{ from: 0, to: 6, spans: [] }]);
  });

  it('never ask for less than the floor', () => {
    const basis = shedPlan();
    expect(reserveOf(basis, basis.plan)).toBe(10);
    expect(reserveOf(basis, { ...basis.plan, outageReservePct: 50 })).toBe(50);
    expect(reserveOf({ ...basis, floorPct: 20 }, { ...basis.plan, outageReservePct: 5 })).toBe(20);
  });
});

describe('why, and what is assumed', () => {
  const lines = (over: Partial<PlanAnswer>) => {
    const basis = shedPlan(over);
    const reckoned = reckon(basis, basis.plan);
    return {
      why: whyLines(basis, reckoned, formats).map(plain),
      assumed: assumedLines(basis, reckoned, monthName),
      sun: reckoned.sun,
    };
  };

  it('tells what was learned and from how much, and what is not known', () => {
    const { why, assumed } = lines({});
    expect(why).toContain('That was learned from 420 percents of its gauge.');
    expect(why.join(' ')).toContain('36 of your own record');
    expect(assumed).not.toContain(words.SIMULATED);
    const little = lines({ simulated: true, days: [], panels: [], losses: { ...shedPlan().losses, ticks: 0 } });
    expect(little.assumed).toEqual([
      words.SIMULATED,
      words.LOSSES_ASSUMED,
      words.ASSUMED_LIMITS,
      words.ASSUMED_WEATHER(words.ALL_MONTHS),
      words.ASSUMED_PANELS,
      words.ASSUMED_CYCLES,
    ]);
    expect(lines({ panels: [{ ratedW: 100, tiltDeg: null, azimuthDeg: null, powerPerK: null }] }).assumed).toContain(
      words.ASSUMED_PLANE,
    );
  });

  it('takes the weather of a month from the days of its own season', () => {
    const { sun } = lines({});
    const from = sun!.months.map(m => m.from).slice(6);
    expect(from).toEqual(['record', 'month', 'month', 'month', 'record', 'record']);
    expect(sun!.months[8]).toMatchObject({ from: 'month', recordedDays: 12 });
    expect(worstOf(sun!).month).toBe(12);
  });

  it('says where paper and the station part, and why', () => {
    expect(differences({ panelW: 100, stationWh: 1000 }, { panelW: 100, stationWh: 1000 })).toEqual([]);
    expect(differences({ panelW: 100, stationWh: 1000 }, { panelW: 130, stationWh: 1300 })).toEqual([
      words.PAPER_MORE,
      words.PAPER_MORE_STATION,
    ]);
    expect(differences({ panelW: 130, stationWh: 1300 }, { panelW: 100, stationWh: 1000 })).toEqual([
      words.PAPER_LESS_PANEL,
      words.PAPER_LESS_STATION,
    ]);
    expect(differences({ panelW: null, stationWh: 1000 }, { panelW: null, stationWh: 1000 })).toEqual([]);
  });

  it('warns of what health may depend on and of what is wired to the house, in words that are easily read', () => {
    const cautions = (...names: string[]) => cautionLines({ dullDays: 1, load: names.map(name => planned(name, 50)) });
    expect(cautions('Router')).toEqual([words.MANUAL]);
    expect(cautions('My CPAP')).toEqual([words.MEDICAL, words.MANUAL]);
    expect(cautions('oxygen concentrator')[0]).toBe(words.MEDICAL);
    expect(cautions('Deep-well pump')).toEqual([words.WIRED, words.MANUAL]);
    expect(cautions('Toaster')).toEqual([words.HEAT, words.MANUAL]);
    for (const text of [words.MEDICAL, words.WIRED, words.HEAT, words.MANUAL, words.ADVICE_ONLY, words.START_APART])
      expect(gradeOf(text)).toBeLessThanOrEqual(9);
  });
});
