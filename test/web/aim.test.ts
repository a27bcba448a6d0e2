import { describe, expect, it } from 'vitest';
import { layoutAim } from '../../web/charts/aim-layout.ts';
import { asText, formatsFor, timesFor } from '../../web/format.ts';
import { barsOf } from '../../web/views/aim/bars.ts';
import { degreesOf, riseCm, windOf } from '../../web/views/aim/degrees.ts';
import { figureText, spareEms } from '../../web/views/aim/figure-text.ts';
import { quantityOf } from '../../web/views/aim/quantity.ts';
import { addPoint, fillFrom, KEEP_MS, spanFor, type TracePoint } from '../../web/views/aim/trace.ts';
import { staleVerdict, verdictOf } from '../../web/views/aim/verdict.ts';
import { whyLines } from '../../web/views/aim/why.ts';
import { shedReading, ZONE } from '../support/honey-shed.ts';
import { threeMarks, yardAim, yardMark, yardVerdict } from '../support/honey-yard.ts';

const formats = formatsFor('en-GB', 'C');
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');

describe('the figure', () => {
  const shown = (watts: number | null) => plain(asText(figureText(watts, formats)));

  it('takes three digits and one point at most, whatever comes in', () => {
    expect([0, 9.9, 987, 1240, 12_400].map(shown)).toEqual(['0 W', '9.9 W', '987 W', '1.24 kW', '12.4 kW']);
    for (let watts = 0; watts < 200_000; watts += watts < 20 ? 0.05 : 13.7)
      expect(figureText(watts, formats).text).toMatch(/^\d{1,3}$|^(?=.{3,4}$)\d+\.\d+$/);
  });

  it('rounds before it decides on the unit and the point', () => {
    expect([9.94, 9.96, 999.4, 999.6, 9994, 9996, 99_960].map(shown)).toEqual([
      '9.9 W',
      '10 W',
      '999 W',
      '1.00 kW',
      '9.99 kW',
      '10.0 kW',
      '100 kW',
    ]);
  });

  it('tells no tenth where there is none, and a dash where nothing is told', () => {
    expect([7, 7.02, 0.04].map(shown)).toEqual(['7 W', '7 W', '0 W']);
    expect(shown(null)).toBe('–');
  });

  it('leaves no room free beside three digits and a point, a digit’s beside two', () => {
    expect(spareEms('1.24')).toBeCloseTo(0, 9);
    expect(spareEms('65') - spareEms('987')).toBeCloseTo(0.602, 9);
    expect(spareEms('9.9')).toBeCloseTo(0.602, 9);
  });

  it('has the decimal sign of the reader', () => {
    expect(figureText(1240, formatsFor('de-DE', 'C')).text).toBe('1,24');
  });
});

describe('the last minutes', () => {
  const points = (...pairs: [at: number, watts: number | null][]): TracePoint[] =>
    pairs.map(([at, watts]) => ({ at, watts }));
  const plan = (list: TracePoint[], marks: { letter: string; at: number }[] = []) =>
    layoutAim({ nowAt: 180_000, spanMs: 180_000, points: list, bridgeMs: 10_000, marks }, 360, 124);

  it('are one line from the left edge to now, upward on one scale', () => {
    const { lines, gaps, baseY, topY } = plan(
      points([0, 0], [60_000, 100], [120_000, 100], [179_000, 50]).flatMap(spread),
    );
    expect([lines.length, gaps.length]).toEqual([1, 0]);
    expect(lines[0]![0]).toEqual([0, baseY]);
    const highest = Math.min(...lines[0]!.map(([, y]) => y));
    expect(highest).toBeGreaterThan(topY);
    expect(highest).toBeLessThan(topY + 6);
  });

  it('leave a gap where nothing came, at the end too, and where a value was missing', () => {
    const two = plan([...run(0, 60_000, 100), ...run(90_000, 150_000, 100)]);
    expect(two.lines.length).toBe(2);
    expect(two.gaps.map(({ x, width }) => [Math.round(x), Math.round(width)])).toEqual([
      [120, 60],
      [300, 60],
    ]);
    const missing = plan([...run(0, 60_000, 100), { at: 61_000, watts: null }, ...run(62_000, 180_000, 100)]);
    expect(missing.lines.length).toBe(2);
  });

  it('take a slower past for one line, up to the faster present', () => {
    const slow = [0, 40_000, 80_000].map(at => ({ at, watts: 100 }));
    const { lines, gaps } = plan([...slow, ...run(110_000, 180_000, 100)]);
    expect([lines.length, gaps.length]).toEqual([1, 0]);
    expect(plan([...run(0, 30_000, 100), { at: 60_000, watts: 100 }, ...run(90_000, 180_000, 100)]).lines.length).toBe(
      3,
    );
  });

  it('put each letter on its own line and none on another', () => {
    const marks = [
      { letter: 'B', at: 91_000 },
      { letter: 'A', at: 90_000 },
      { letter: 'Z', at: -1 },
    ];
    const placed = plan(run(0, 180_000, 100), marks).marks;
    expect(placed.map(({ letter, x }) => [letter, x])).toEqual([
      ['A', 180],
      ['B', 182],
    ]);
    expect(placed[1]!.textX - placed[0]!.textX).toBeGreaterThanOrEqual(15);
  });

  it('hold a quarter of an hour and take no reading twice', () => {
    const list: TracePoint[] = [];
    for (let at = 0; at <= 2 * KEEP_MS; at += 1000) addPoint(list, { at, watts: 1 });
    addPoint(list, { at: 5, watts: 9 });
    expect(list.at(-1)).toEqual({ at: 2 * KEEP_MS, watts: 1 });
    expect(list.at(-1)!.at - list[0]!.at).toBeLessThanOrEqual(KEEP_MS + 60_000);
  });

  it('are filled from the record where nothing came live, and nowhere else', () => {
    const list = points([100_000, 7], [101_000, 7], [140_000, 7]);
    const mean = [1, 2, null, 4, 5, 6];
    const answer = {
      station: 's',
      startAt: new Date(80_000).toISOString(),
      stepMs: 10_000,
      count: 6,
      columns: { inputPowerW: { min: mean, mean, max: mean } },
    };
    fillFrom(list, answer, 'inputPowerW', 10_000);
    expect(list.map(({ at, watts }) => [at / 1000, watts])).toEqual([
      [85, 1],
      [95, 2],
      [100, 7],
      [101, 7],
      [115, 4],
      [125, 5],
      [135, 6],
      [140, 7],
    ]);
  });

  it('reach back to the marks of this walk, three minutes at least and a quarter of an hour at most', () => {
    const minutes = (...ago: number[]) =>
      spanFor(
        0,
        ago.map(min => -min * 60_000),
      ) / 60_000;
    expect([minutes(), minutes(1), minutes(4, 1), minutes(9), minutes(14), minutes(60, 2)]).toEqual([
      3, 3, 5, 10, 15, 3,
    ]);
  });
});

/** A reading a second of the same watts. */
const run = (fromAt: number, toAt: number, watts: number): TracePoint[] =>
  Array.from({ length: (toAt - fromAt) / 1000 + 1 }, (_, i) => ({ at: fromAt + i * 1000, watts }));
/** Readings a second after this one, up to the next in the test above. */
const spread = ({ at, watts }: TracePoint): TracePoint[] => run(at, Math.min(at + 59_000, 179_000), watts!);

describe('the sentence of Aim', () => {
  const said = (change: Parameters<typeof yardVerdict>[0], marks = threeMarks()) => {
    const { strong, rest } = verdictOf(yardAim({ verdict: yardVerdict(change), marks }), formats);
    return plain(strong + rest);
  };

  it('tells which is better, by how much, how sure, and what the sun did', () => {
    expect(said({})).toBe('C is better than B by 14 W, give or take 5 W, after taking out the sun’s own climb of 2 W.');
    expect(said({ kind: 'worse', differenceW: -30, sunExplainsW: -4 })).toBe(
      'C is worse than B by 30 W, give or take 5 W, after making up for the 4 W that the sun’s own sinking took.',
    );
    expect(said({ here: null, sunExplainsW: null })).toBe('Here is better than B by 14 W, give or take 5 W.');
    expect(said({ kind: 'same', differenceW: -2 })).toBe(
      'C and B are alike: 2 W between them, give or take 5 W, may be chance.',
    );
  });

  it('asks to hold still, and for about how long', () => {
    expect(said({ kind: 'clouds', holdMs: null })).toBe(
      'Clouds are passing: hold still for a minute. Nothing is ranked from a changing sky.',
    );
    expect(said({ kind: 'settling', holdMs: 11_200 })).toContain('hold still. About 15 s more.');
    expect(said({ kind: 'warming', holdMs: 200_000 })).toContain('About 4 min more.');
    expect(said({ kind: 'holding', holdMs: 1 })).toContain('About 5 s more.');
  });

  it('sends back to the spot before where the sky went on changing', () => {
    expect(said({ kind: 'goBack' })).toBe('Go back to B and mark it again. The sky went on changing in between.');
  });

  it.each([
    ['full', 'the battery is full'],
    ['taper', 'nearly full'],
    ['port', 'the port takes no more'],
    ['cold', 'too cold to charge'],
    ['owner', 'the limit you set'],
    ['load', 'what is plugged in'],
  ] as const)('ranks nothing while the station is the limit: %s', (limitedBy, words) => {
    expect(said({ kind: 'limited', limitedBy })).toContain(words);
  });

  it('says what to do with no mark and with one', () => {
    expect(said({ kind: 'none' }, [])).toMatch(/^Nothing marked yet\. Mark this spot/);
    expect(said({ kind: 'none' }, [yardMark()])).toMatch(/^A is marked\. Move the panels/);
    expect(plain(verdictOf(yardAim({ quantity: null }), formats).strong)).toBe(
      'This station tells no watts coming in.',
    );
  });

  it('says how old the figure is and promises nothing from it', () => {
    const { strong, rest, meaning } = staleVerdict(12_000, d => d.toFixed(1));
    expect(plain(strong + rest)).toBe(
      'The last reading is 12 s old. Nothing is said of this spot until the next one comes.',
    );
    expect(meaning).toBe(staleVerdict(90_000, d => d.toFixed(1)).meaning);
    expect(staleVerdict(null, d => d.toFixed(1)).strong).toBe('Nothing was read yet.');
  });

  it('means the same while only numbers move', () => {
    const meaning = (change: Parameters<typeof yardVerdict>[0]) =>
      verdictOf(yardAim({ verdict: yardVerdict(change) }), formats).meaning;
    expect(meaning({ differenceW: 15, giveOrTakeW: 4 })).toBe(meaning({}));
    expect(meaning({ kind: 'settling', holdMs: 9000 })).toBe(meaning({ kind: 'settling', holdMs: 4000 }));
    expect(meaning({ kind: 'worse' })).not.toBe(meaning({}));
    expect(meaning({ than: 'A' })).not.toBe(meaning({}));
  });
});

describe('what is aimed by', () => {
  const of = (quantities: Record<string, number | null>, told: 'solarPowerW' | 'inputPowerW' | null = null) =>
    quantityOf(shedReading({ quantities }), told);

  it('is the sun’s watts where they are told, else all that comes in', () => {
    expect(of({ solarPowerW: 5, inputPowerW: 9 })).toBe('solarPowerW');
    expect(of({ inputPowerW: 9 })).toBe('inputPowerW');
    expect(of({ outputPowerW: 9 })).toBeNull();
  });

  it('is what the agent judges by, but for readings that never have it', () => {
    expect(of({ solarPowerW: 5, inputPowerW: 9 }, 'inputPowerW')).toBe('inputPowerW');
    expect(of({ solarPowerW: null, inputPowerW: 9 }, 'solarPowerW')).toBe('solarPowerW');
    expect(of({ inputPowerW: 9 }, 'solarPowerW')).toBe('inputPowerW');
  });
});

describe('the chain behind the sentence', () => {
  const lines = (change: Parameters<typeof yardAim>[0]) =>
    whyLines(yardAim(change), formats, timesFor('en-GB', ZONE, '24')).map(plain);

  it('names what was measured, since when, and what was taken out', () => {
    expect(lines({ reference: 'port' }).slice(0, 5)).toEqual([
      'Here: 214 W on average since 19:59, give or take 3 W.',
      'B: 198 W, measured at 19:58; it would be 200 W at this moment.',
      'What the sun’s own way changed in between is taken out, by what a clear sky gives at both moments.',
      'The sky was steady in the last minutes.',
      'Held beside the other port, whose panels stand still: clouds that dim both are taken out.',
    ]);
  });

  it('says what is not known', () => {
    const told = lines({ here: null, sky: 'unknown', verdict: yardVerdict({ sunExplainsW: null }) });
    expect(told[0]).toContain('nothing to average yet');
    expect(told).toContainEqual(expect.stringContaining('where the station is, is not known'));
    expect(told).toContainEqual(expect.stringContaining('not judged yet'));
  });

  it('says nothing of the sky by night', () => {
    expect(lines({ verdict: yardVerdict({ kind: 'dark', than: null }) }).join(' ')).not.toContain('sky was steady');
  });
});

describe('bars of marks', () => {
  it('share one scale, with their ranges within the track', () => {
    const bars = barsOf([...threeMarks(), yardMark({ now: null, why: 'old' })]);
    expect(bars[3]).toBeNull();
    expect(Math.max(...bars.map(bar => bar?.highPct ?? 0))).toBeCloseTo(98, 9);
    expect(bars[2]!.barPct / bars[0]!.barPct).toBeCloseTo(126 / 214, 9);
    expect(barsOf([yardMark({ now: { meanW: 1, giveOrTakeW: 9 } })])[0]!.lowPct).toBe(0);
  });
});

describe('tilt and turn', () => {
  it('are read as people write them', () => {
    expect(['35', ' 35,5 °', '0', '90', '', '91', '-3', 'ten'].map(text => degreesOf(text, 90))).toEqual([
      35,
      35.5,
      0,
      90,
      null,
      undefined,
      undefined,
      undefined,
    ]);
  });

  it('are told as a rise and as a wind', () => {
    expect([0, 30, 90].map(riseCm).map(Math.round)).toEqual([0, 50, 100]);
    expect([0, 11, 12, 180, 349, 360].map(windOf)).toEqual([0, 0, 1, 8, 0, 0]);
  });
});
