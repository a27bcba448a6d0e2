/** What Trials says, without a page: rounding by the range, the sentence, what is typed, where a drawing's parts lie. */
import { describe, expect, it } from 'vitest';
import { formatsFor, timesFor } from '../../web/format.ts';
import { BEGINNING, readTyped } from '../../web/views/trials/begin-draft.ts';
import { besideSentence, namesOf } from '../../web/views/trials/beside.ts';
import { countTyped } from '../../web/views/trials/by-hand.ts';
import { conditionsTyped } from '../../web/views/trials/conditions.ts';
import { curveLayout, roundTicks } from '../../web/views/trials/curve-layout.ts';
import { drawingsOf } from '../../web/views/trials/curves.ts';
import { weekIsOver } from '../../web/views/trials/first-week.ts';
import { roundedHalf, told } from '../../web/views/trials/rounding.ts';
import { bestTrial, resultSentence, trialSentence, trialsSentence } from '../../web/views/trials/sentence.ts';
import { promisedWh, yearsSentence } from '../../web/views/trials/years-view.ts';
import { EVENING_AT, ZONE } from '../support/honey-shed.ts';
import { plain } from '../support/page-stage.ts';
import {
  comparison,
  converterResult,
  firstWeekOf,
  liveSets,
  liveUsable,
  ownDrawResult,
  shedTrials,
  trialOf,
  usableResult,
  yearsOf,
} from '../support/trials.ts';

const formats = formatsFor('en-GB', 'C');
const said = { formats, times: timesFor('en-GB', ZONE, '24'), nowAt: EVENING_AT };
const about = (value: number, half: number) => ({ value, low95: value - half, high95: value + half });
const tells = (value: number, half: number, unit: string) => {
  const { text, give } = told(about(value, half), unit, formats);
  return plain(`${text}, ${give}`);
};
const trial = (id: string) => shedTrials().find(one => one.id.includes(id))!;

describe('a figure with its range', () => {
  it('is told with no more digits than the range allows', () => {
    expect(tells(20.4, 1.96, 'W')).toBe('20 W, give or take 2');
    expect(tells(1423.7, 23, 'Wh')).toBe('1 420 Wh, give or take 30');
    expect(tells(1311.6, 13.2, 'Wh')).toBe('1 312 Wh, give or take 13');
    expect(tells(87.33, 0.82, '%')).toBe('87.3 %, give or take 0.8');
    expect(tells(0.5344, 0.0062, 'EUR')).toBe('0.534 EUR, give or take 0.006');
    expect(tells(1.2, 0.97, '%')).toBe('1 %, give or take 1');
    expect(tells(52_340, 1240, 'Wh')).toBe('52.3 kWh, give or take 1.2');
    expect(tells(155, 6, 'min')).toBe('2 h 35 min, give or take 6 min');
    expect(tells(0.061, 0.0078, 'W/W')).toBe('6.1 %, give or take 0.8');
    expect(tells(300, 0, 'W')).toBe('300 W, to the last digit shown');
  });

  it('has a range that is never rounded down by more than a twentieth', () => {
    for (let half = 0.011; half < 5000; half *= 1.013) {
      const { half: rounded, place } = roundedHalf(half);
      expect(rounded).toBeGreaterThanOrEqual(half * 0.949);
      expect(rounded).toBeLessThanOrEqual(half * 1.5);
      expect(Math.abs(rounded / 10 ** place - Math.round(rounded / 10 ** place))).toBeLessThan(1e-6);
      expect(rounded / 10 ** place).toBeLessThan(20.5);
    }
  });

  it('is told from one end to the other where its sides differ', () => {
    const { text, give } = told({ value: 20, low95: 18, high95: 27 }, 'W', formats);
    expect(plain(`${text}, ${give}`)).toBe('20 W, from 18 to 27');
    expect(told(about(-2.2, 0.6), '%', formats, true).text.startsWith('−2.2')).toBe(true);
  });
});

describe('the sentence of Trials', () => {
  it('is the best usable energy against its label, by a meter before own watts', () => {
    const { headline, sure } = trialsSentence(
      shedTrials().filter(t => t.station === 'shed'),
      null,
      said,
    );
    expect(plain(headline)).toBe('It delivers 1 310 Wh of its 1 500, give or take 13.');
    expect(plain(sure.join(' '))).toBe(
      'On 2 November, at 300 W, 21 °C. Held against Plug meter. By itself it draws 20 W, give or take 2.',
    );
    const own = trialOf('later', { kind: 'usable' }, usableResult(1290), { startedAt: '2026-11-07T07:00:00.000Z' });
    own.judgement.result!.figures = own.judgement.result!.figures.filter(f => f.what === 'deliveredWh');
    expect(bestTrial([own, ...shedTrials()])!.id).toBe('shed-usable-261102-k4m7qa');
    expect(plain(resultSentence(own, formats))).toBe('It delivers 1 305 Wh, give or take 3.');
    expect(plain(trialSentence(own, said).sure.join(' '))).toContain('that these may be off by 3 % is in the range');
  });

  it('says what to do first where nothing is measured, and nothing before a full charge', () => {
    expect(trialsSentence([], firstWeekOf({ fullyChargedAt: null }), said).headline).toBe(
      'First charge it full, once.',
    );
    expect(trialsSentence([], firstWeekOf(), said).headline).toBe('Not measured yet.');
    expect(trialsSentence([liveSets()], firstWeekOf(), said)).toMatchObject({ headline: 'Being measured now.' });
    expect(weekIsOver(firstWeekOf(), '2026-11-14')).toBe(false);
    expect(weekIsOver(firstWeekOf(), '2026-11-15')).toBe(true);
  });

  it('never tells a spoiled or interrupted trial as good', () => {
    const spoiled = trial('261106');
    expect(trialSentence(spoiled, said).headline).toBe('Spoiled. The load was unplugged.');
    expect(trialSentence(spoiled, said).sure[0]).toBe('Nothing may be concluded from it.');
    const whole = trialOf('gap', { kind: 'usable' }, usableResult(900), {
      judgement: { phase: 'interrupted', endsBecause: 'gap' },
    });
    expect(trialSentence(whole, said)).toMatchObject({ headline: 'Interrupted.' });
    expect(trialSentence(whole, said).sure.join(' ')).toMatch(
      /^It ended at a gap in the readings\. It did not come to its end/,
    );
    expect(bestTrial([spoiled, whole])).toBe(null);
    const none = trialOf('none', { kind: 'usable' }, null);
    expect(trialSentence(none, said).headline).toBe('Not measured yet.');
  });

  it('says what a live trial waits for, and how far it is', () => {
    expect(plain(trialSentence(liveSets(), said).headline)).toBe('Two panel sets: 43 % done.');
    expect(plain(trialSentence(liveSets(), said).sure.join(' '))).toBe(
      'About 19 min to go. 3 of 7 so far. Waits for the other panel set. Change over to it, then tell so here.',
    );
    const waiting = trialOf('w', { kind: 'ownDraw' }, null, { judgement: { phase: 'waiting', waitsFor: 'noLoad' } });
    expect(trialSentence(waiting, said)).toEqual({
      headline: 'Waits for empty outlets.',
      sure: ['Unplug everything; leave the outlets on.'],
    });
  });

  it('has one for each kind, and marks what was simulated', () => {
    expect(plain(resultSentence(trial('converter'), formats))).toBe(
      'At 600 W 90 % of the energy gets through, give or take 1.',
    );
    expect(plain(resultSentence(trial('solar'), formats))).toBe(
      'The panels brought in 81 % of a cloudless day, give or take 9.',
    );
    const simulated = trialOf('s', { kind: 'ownDraw' }, ownDrawResult(20), { simulated: true });
    expect(trialSentence(simulated, said).sure.at(-1)).toBe('Of a simulated station: it says nothing of a real one.');
  });
});

describe('results side by side', () => {
  it('differ only beyond their uncertainty, and are named so that no two are alike', () => {
    const [shed, cellar] = [trial('k4m7qa'), trial('cellar')];
    const answer = comparison([shed, cellar]);
    expect(plain(besideSentence(answer, namesOf([shed, cellar], said), formats).headline)).toBe(
      'Cellar: 80 Wh more than Honey shed, give or take 20.',
    );
    const near = comparison([shed, trialOf('near', { kind: 'usable' }, usableResult(1316), { station: 'loft' })]);
    expect(besideSentence(near, ['a', 'b'], formats).headline).toBe('No difference found.');
    const cold = usableResult(1200);
    cold.under.tempC = 4;
    const unlike = comparison([shed, trialOf('cold', { kind: 'usable' }, cold, { station: 'loft' })]);
    expect(besideSentence(unlike, ['a', 'b'], formats)).toEqual({
      headline: 'They cannot be held against each other.',
      sure: ['Their temperatures were unlike.'],
    });
    expect(besideSentence(comparison([shed, trial('solar')]), ['a', 'b'], formats).headline).toBe(
      'They cannot be held against each other.',
    );
    expect(namesOf([shed, shed, cellar], said)).toEqual([
      'Honey shed, 2 November',
      'Honey shed, 2 November (2)',
      'Cellar, 1 November',
    ]);
  });

  it('come onto one axis where both have the curve', () => {
    const [both] = drawingsOf([trial('k4m7qa'), trial('cellar')], ['one', 'other']);
    expect(both).toMatchObject({ of: 'percentByHour', series: [{ name: 'one' }, { name: 'other' }] });
    expect(drawingsOf([trial('converter'), trial('solar')], ['one', 'other'])).toEqual([]);
    expect(drawingsOf([trial('solar')], [''])[0]!.series.map(({ model }) => model)).toEqual([false, true]);
  });

  it('over the years say what is left of the first, against what was promised', () => {
    const { headline, sure } = yearsSentence(yearsOf(), said);
    expect(plain(headline)).toBe('It delivers 93.4 % of what it did at first, give or take 1.3.');
    expect(plain(sure[0]!)).toBe('It holds more than the 70 % of its label that was promised.');
    expect(promisedWh(yearsOf(), 1500)).toBe(1050);
    const of = { ...yearsOf().warranty!, of: 'first' as const };
    expect(promisedWh(yearsOf({ warranty: of }), 1500)).toBeCloseTo(981.4);
    expect(yearsSentence(yearsOf({ points: [], trendPctAYear: null, warranty: null }), said).headline).toBe(
      'Not measured yet.',
    );
  });
});

describe('what is typed', () => {
  it('makes the options of the contract, and leaves out what was left empty', () => {
    expect(readTyped('usable', { ...BEGINNING, load: ' Lamp ', floorPct: '20' })).toEqual({
      options: { kind: 'usable', floorPct: 20 },
      conditions: { load: 'Lamp' },
    });
    expect(
      readTyped('charge', { ...BEGINNING, meter: 'source:plug', meterName: 'Plug', meterLimitPct: '0,5' }),
    ).toEqual({
      options: {
        kind: 'charge',
        source: 'wall',
        fromPct: 10,
        meter: { source: 'plug', name: 'Plug', limitPct: 0.5, stepW: 0.1, stepWh: 1 },
      },
      conditions: {},
    });
    const sets = { ...BEGINNING, aName: 'South', aRatedW: '200', bName: 'North', bRatedW: '160' };
    expect(readTyped('twoSets', sets)).toMatchObject({ options: { how: 'alternated' } });
    expect(readTyped('twoSets', { ...sets, how: 'ports' })).toMatchObject({ options: { portA: 1, portB: 2 } });
  });

  it('is told field by field where it makes no sense', () => {
    const read = readTyped('converter', { ...BEGINNING, loads: '3.5', meter: 'typed', tempMinC: 'cold' });
    expect('wrong' in read && [...read.wrong.keys()].sort()).toEqual(['loads', 'meterName', 'tempMinC']);
    expect('wrong' in readTyped('twoSets', BEGINNING)).toBe(true);
  });

  it('of a meter never runs backwards; words of the circumstances are taken as they are', () => {
    expect(countTyped('39', liveUsable())).toBe(null);
    expect(countTyped('1 040,5', liveUsable())).toBe(1040.5);
    expect(countTyped('many', liveUsable())).toBe(null);
    const typed: Record<string, string> = { load: ' Lamp ', airTempC: '−3,5' };
    expect(conditionsTyped(name => typed[name] ?? '')).toEqual({ load: 'Lamp', airTempC: -3.5 });
  });
});

describe('the drawing', () => {
  const room = { width: 600, height: 240, units: { x: 'h', y: '%' }, number: formats.number };

  it('draws a band only where the range is wider than the line, and whole numbers as such', () => {
    const flat = curveLayout(drawingsOf([trial('k4m7qa')], [''])[0]!.series, { ...room, yTo: 100 });
    expect(flat.series[0]!.band).toBe('');
    expect(flat.xTicks[0]!.text).toBe('0');
    const curve = curveLayout(drawingsOf([trialOf('c', { kind: 'converter' }, converterResult())], [''])[0]!.series, {
      ...room,
      yTo: 100,
      yFromLeast: true,
    });
    expect(curve.series.map(({ dots, band }) => [dots.length, band !== ''])).toEqual([
      [4, false],
      [0, true],
    ]);
    for (const { x, y } of curve.series[0]!.dots) {
      expect(x).toBeGreaterThanOrEqual(curve.left);
      expect(y).toBeGreaterThanOrEqual(curve.topY);
      expect(y).toBeLessThanOrEqual(curve.baseY);
    }
  });

  it('has round steps', () => {
    expect(roundTicks(0, 4.37, 8).values).toEqual([0, 1, 2, 3, 4]);
    expect(roundTicks(60, 100, 3).values).toEqual([60, 80, 100]);
  });
});
