import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { OutlastAnswer } from '#messages';
import { layoutOutlast, type OutlastPlan } from '../../web/charts/outlast-layout.ts';
import { formatsFor, timesFor } from '../../web/format.ts';
import { captionOf, drawingSays } from '../../web/views/outlast/drawing.ts';
import { earlier } from '../../web/views/outlast/helping.ts';
import { judgedLines } from '../../web/views/outlast/judged.ts';
import { outlastAddress } from '../../web/views/outlast/outlast-api.ts';
import { addedText, outlastSentence } from '../../web/views/outlast/sentence.ts';
import { daysFrom, instantOf, isTime, nextTarget } from '../../web/views/outlast/target.ts';
import { whyLines } from '../../web/views/outlast/why.ts';
import { NOT_YET } from '../../web/words/judging.ts';
import * as words from '../../web/words/outlast.ts';
import { EVENING_AT, ZONE } from '../support/honey-shed.ts';
import { eveningOutlast, monthJudged, nothingToSay } from '../support/outlasts.ts';
import { gradeOf } from '../support/reading-level.ts';

const HOUR = 3_600_000;
const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', ZONE, '24');
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
const told = (answer: OutlastAnswer, staleMs: number | 'never' | null = null) => {
  const { headline, sure } = outlastSentence({ answer, nowAt: EVENING_AT, staleMs, formats, times });
  return [plain(headline), plain(sure.map(piece => piece.text).join(''))];
};

describe('the sentence', () => {
  it('tells the chances, then what leaving off brings', () => {
    const steps = [
      { names: ['Honey warmer'], powersW: [22], chances: 7 },
      { names: ['Honey warmer', null], powersW: [22, 19], chances: 17 },
    ];
    expect(told(eveningOutlast({ steps }))).toEqual([
      'It reaches 06:00 in 1 of 20.',
      'With the honey warmer off, 7 in 20; what draws 19 W off too, 17 in 20.',
    ]);
    expect(told(eveningOutlast({ chances: 0, steps: [] }))).toEqual(['It reaches 06:00 in none of 20.', '']);
  });

  it('leaves it at that where it is sure enough, and says when it is early', () => {
    expect(told(eveningOutlast({ chances: 19 }))).toEqual(['It reaches 06:00 in 19 of 20.', words.SURE_ENOUGH]);
    expect(told(eveningOutlast({ chances: 20, early: true }))[1]).toBe(`${words.SURE_ENOUGH} ${words.EARLY}`);
  });

  it('says on mains what would be if the power failed now', () => {
    expect(told(eveningOutlast({ onMains: true, chances: 17 }))[0]).toBe(
      'If the power failed now, it would reach 06:00 in 17 of 20.',
    );
  });

  it('promises nothing over old readings, and says how old they are', () => {
    expect(told(eveningOutlast(), 4 * HOUR)[0]).toBe('The last reading is 4 h old, so nothing is promised.');
    expect(told(eveningOutlast(), 'never')[0]).toBe('Nothing was read yet, so nothing is promised.');
  });

  it.each(['noStateOfCharge', 'noPower', 'noRatedWh', 'noHistory', 'stale'] as const)(
    'says what is missing: %s',
    why => {
      const [headline, missing] = told({ ...nothingToSay(), why });
      expect(headline).toBe(words.SILENT[why][0]);
      expect(missing).toBe(words.SILENT[why][1]);
    },
  );

  it('is at its floor where it is', () => {
    expect(told(eveningOutlast({ why: 'atFloor', chances: 0, steps: [] }))[0]).toBe('It is at its floor now.');
  });

  it('adds time to five minutes', () => {
    expect(plain(addedText(172))).toBe('+2 h 50 min');
    expect(plain(addedText(61))).toBe('+60 min');
    expect(addedText(1)).toBe('hardly longer');
  });
});

describe('the target', () => {
  it('is the next morning, in the station’s own time', () => {
    const target = nextTarget(EVENING_AT, ZONE);
    expect(target.time).toBe('07:00');
    const at = instantOf(target, ZONE);
    expect(plain(times.time(at))).toBe('07:00');
    expect(at - EVENING_AT).toBeGreaterThan(2 * HOUR);
    expect(at - EVENING_AT).toBeLessThan(26 * HOUR);
  });

  it('keeps its civil time through a change of clocks, and falls on the first instant after a skipped one', () => {
    const zone = 'Europe/Berlin';
    expect(new Date(instantOf({ date: '2026-03-29', time: '07:00' }, zone)).toISOString()).toBe(
      '2026-03-29T05:00:00.000Z',
    );
    expect(new Date(instantOf({ date: '2026-10-25', time: '07:00' }, zone)).toISOString()).toBe(
      '2026-10-25T06:00:00.000Z',
    );
  });

  it('is any time of day but no other text', () => {
    expect(['00:00', '23:59'].every(isTime)).toBe(true);
    expect(['24:00', '7:00', '', 'noon'].some(isTime)).toBe(false);
    expect(daysFrom(EVENING_AT, ZONE)).toHaveLength(8);
  });
});

describe('the question', () => {
  const asked = {
    untilAt: EVENING_AT,
    floorPct: null,
    skies: ['open' as const],
    watts: { generator: null, vehicle: null, wall: null },
    with: null,
  };
  it('asks only for what is not as usual', () => {
    expect(outlastAddress('shed', asked)).toBe(
      `/api/stations/shed/outlast?until=${encodeURIComponent(new Date(EVENING_AT).toISOString())}`,
    );
    const more = outlastAddress('shed', {
      ...asked,
      floorPct: 20,
      skies: ['good', 'open'],
      watts: { ...asked.watts, generator: 720 },
      with: 'attic',
    });
    for (const part of ['floor=20', 'skies=good%2Copen', 'generatorW=720', 'with=attic']) expect(more).toContain(part);
  });
});

describe('the drawing', () => {
  const plan = (dots: (number | null)[], hours = 10): OutlastPlan => ({
    nowAt: EVENING_AT,
    targetAt: EVENING_AT + hours * HOUR,
    dots,
    nights: [{ fromMs: EVENING_AT - HOUR, toMs: EVENING_AT + 11 * HOUR }],
    labelOf: at => times.time(at),
    targetText: '06:00',
  });

  it('fills the dots that make it and no other, and stands each in its half hour', () => {
    const layout = layoutOutlast(
      plan([EVENING_AT + 4.1 * HOUR, EVENING_AT + 9.9 * HOUR, EVENING_AT + 10 * HOUR, null]),
      1200,
      230,
    );
    expect(layout.dots.map(dot => dot.filled)).toEqual([false, false, true, true]);
    const perHour = (layout.target.x - layout.left) / 10;
    // 4.1 h falls into the half hour from 4 on; 9.9 h stands half an hour before the target.
    expect(layout.dots[0]!.x).toBeCloseTo(layout.left + 4 * perHour, 6);
    expect(layout.dots[1]!.x).toBeCloseTo(layout.target.x - perHour / 2, 6);
    expect(layout.dots[3]!.x).toBeGreaterThan(layout.right);
  });

  it('keeps every dot within the picture and apart from its neighbours, at any width and for any answer', () => {
    const at = fc.oneof(fc.constant(null), fc.double({ min: 0, max: 400, noNaN: true }));
    fc.assert(
      fc.property(
        fc.array(at, { minLength: 20, maxLength: 20 }),
        fc.double({ min: 0.2, max: 300, noNaN: true }),
        fc.integer({ min: 0, max: 1400 }),
        (hours, target, width) => {
          const layout = layoutOutlast(
            plan(
              hours.map(h => (h === null ? null : EVENING_AT + h * HOUR)),
              target,
            ),
            width,
            220,
          );
          expect(layout.dots).toHaveLength(20);
          for (const dot of layout.dots) {
            expect(dot.y).toBeLessThan(layout.baseY);
            expect(dot.y - layout.radius).toBeGreaterThanOrEqual(layout.topY);
            expect(Number.isFinite(dot.x)).toBe(true);
          }
          for (const [i, a] of layout.dots.entries())
            for (const b of layout.dots.slice(i + 1))
              if (a.x === b.x) expect(Math.abs(a.y - b.y)).toBeGreaterThanOrEqual(2 * layout.radius);
          expect(layout.dots.filter(dot => dot.filled)).toHaveLength(
            hours.filter(h => h === null || h >= target).length,
          );
        },
      ),
    );
  });

  it('says itself in words', () => {
    expect(plain(drawingSays(eveningOutlast(), EVENING_AT, times))).toBe(
      'The first of 20 dots stands at 23:00, half of them by 02:06.',
    );
    expect(drawingSays(eveningOutlast({ dots: Array(20).fill(null) }), EVENING_AT, times)).toBe(words.ALL_RUNNING);
    const lowest = { pct: 56.4, at: new Date(EVENING_AT + 12 * HOUR + 6 * 60_000).toISOString() };
    expect(captionOf(eveningOutlast({ lowest }), EVENING_AT, formats, times).map(plain)).toContain(
      'Where it gets through, it is lowest at 56 %, about 08:00.',
    );
  });

  it('tells no lowest point that lies days behind the hour asked for', () => {
    const lowest = { pct: 56.4, at: new Date(EVENING_AT + 80 * HOUR).toISOString() };
    expect(captionOf(eveningOutlast({ lowest }), EVENING_AT, formats, times).join(' ')).not.toContain('lowest');
  });
});

describe('what stands around', () => {
  it('keeps score: as many as promised, and as came true', () => {
    expect(earlier(eveningOutlast())).toBe('Of the last 40 ranges, 33 came true; 32 were promised.');
    expect(earlier(eveningOutlast({ score: { held: 0, of: 0 } }))).toBe(words.NOT_SCORED);
  });

  it('judges itself in words: what came true, how far off, beside the watts of the moment', () => {
    expect(judgedLines(monthJudged(), formats, times).map(plain)).toEqual([
      'Of 188 ranges on your record 153 came true; 150 were promised.',
      'Their middle was off by 25 % of the time left (median); what is left over the watts of the moment by 177 %.',
      'No discharge went down to the floor, so that end is not judged.',
      'From 9 October to 8 November, learning anew from the first day, with your settings of today.',
    ]);
    const floor = { discharges: 2, points: 60, coverage: 0.8, medianErrorPct: 11, plainErrorPct: 40 };
    const full = { charges: 1, coverage: 1, medianErrorPct: 4 };
    const lines = judgedLines(
      monthJudged({ floor: { ...floor, warnings: 2, warnedInTime: 1 }, full }),
      formats,
      times,
    ).map(plain);
    expect(lines).toContain('Down to the floor (twice): 80 % came true, off by 11 %, watts of the moment 40 %.');
    expect(lines).toContain('The warning of half an hour came in time in 100 % of 2.');
    expect(lines).toContain('Until full (once): 100 % came true, off by 4 %.');
    const none = { of: 0, held: 0, medianErrorPct: null, plainErrorPct: null };
    expect(judgedLines(monthJudged({ ranges: none }), formats, times)[0]).toBe(NOT_YET);
  });

  it('gives its reasons, doubts and that nobody can promise against a surprise', () => {
    const lines = whyLines(eveningOutlast({ doubts: ['gap'] }), formats);
    expect(lines).toContain(words.DOUBTS.gap);
    expect(lines.at(-1)).toBe(words.WHY_SURPRISE);
  });

  it('says its cautions in words of eight school years at most', () => {
    for (const line of [...words.SAFETY_LINES, words.quiet('The freezer', '3 h')])
      expect(gradeOf(line)).toBeLessThanOrEqual(8);
    const all = words.SAFETY_LINES.join(' ');
    for (const said of ['medical', '6 m (20 ft)', 'garage', 'wall socket', 'electrician', 'surges', 'power strips'])
      expect(all).toContain(said);
  });
});
