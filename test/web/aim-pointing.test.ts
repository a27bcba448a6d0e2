import { describe, expect, it } from 'vitest';
import { overlap } from '../../web/charts/wiring-label.ts';
import { formatsFor, timesFor } from '../../web/format.ts';
import { ABOVE_PX, fromAbove, fromSide, type Point, SIDE_PX, type Word } from '../../web/views/aim/pointing-layout.ts';
import {
  bandWatts,
  dayPlane,
  directionOf,
  gatheredRows,
  leadOf,
  planeCells,
  reaimed,
  turnFrom,
  wattHours,
} from '../../web/views/aim/pointing-telling.ts';
import { CAUSES } from '../../web/words/aim-pointing.ts';
import { EVENING_AT } from '../support/honey-shed.ts';
import { pointed } from '../support/pointed.ts';

const formats = formatsFor('en-GB', 'C');
const times = timesFor('en-GB', 'Europe/Rome', '24');
const plain = (text: string) => text.replace(/[\u00a0\u202f]/g, ' ');
const lead = (change: Parameters<typeof pointed>[0] = {}) =>
  leadOf(pointed(change), EVENING_AT, formats, times).map(plain);
const left = pointed().restOfDay!;

describe('a direction in words', () => {
  it.each([
    [0, 'north'],
    [359, 'north'],
    [176.5, 'south'],
    [196, 'a little west of south'],
    [164, 'a little east of south'],
    [10, 'a little east of north'],
    [350, 'a little west of north'],
    [84, 'a little north of east'],
    [280, 'a little north of west'],
    [202, 'south-south-west'],
    [225, 'south-west'],
    [246, 'west-south-west'],
    [-45, 'north-west'],
    [405, 'north-east'],
  ])('%f° is %s', (deg, text) => expect(directionOf(deg)).toBe(text));

  it('is turned to the short way round, and not at all for less than three degrees', () => {
    expect(turnFrom(212.3, 246.2)).toBe('34° to the right');
    expect(turnFrom(10, 350)).toBe('20° to the left');
    expect(turnFrom(350, 10)).toBe('20° to the right');
    expect(turnFrom(180, 182)).toBeNull();
  });
});

describe('where to point', () => {
  it('says turn, tilt and the rise of the back edge: the sine of the tilt', () => {
    expect(lead()).toEqual([
      'Turn to 246° (west-south-west), tilt 48°.',
      'Raise the back edge 74 cm for each metre of panel. Left so until sunset at 21:45 they gather about 1 080 Wh without clouds.',
    ]);
    const cells = (tiltDeg: number) => planeCells({ tiltDeg, azimuthDeg: 196 }, formats).map(plain);
    expect(cells(42)).toEqual(['196° a little west of south', '42°', '67 cm']);
    expect(cells(30)[2]).toBe('50 cm');
    expect(cells(90)[2]).toBe('100 cm');
    expect(cells(1)).toEqual(['–', 'flat', '–']);
  });

  it('lays them flat where nothing else gathers one percent more', () => {
    const nearly = { ...left, best: { tiltDeg: 6.4, azimuthDeg: 210 }, bestWh: 2047, flatWh: 2042 };
    expect(dayPlane(nearly).tiltDeg).toBe(0);
    expect(lead({ restOfDay: nearly })).toEqual([
      'Lay the panels flat.',
      'No other way gathers one percent more. Left so until sunset at 21:45 they gather about 2 040 Wh without clouds.',
    ]);
  });

  it('speaks of each 100 W where no panels are told', () => {
    expect(lead({ panelsW: null })[1]).toContain('each 100 W of panel gathers about 1 080 Wh');
  });

  it('says at night when the sun rises, before it the day to come, in the polar night that it does not', () => {
    const night = { bestNow: null, shadow: null } as const;
    expect(lead({ ...night, restOfDay: null })).toEqual(['The sun is down.', 'Next sunrise: 06:00.']);
    const early = lead({ ...night, restOfDay: { ...left, leftAtSunWh: null } });
    expect(early[0]).toBe('The sun rises at 06:00.');
    expect(early[1]).toContain('Turn to 246°');
    expect(lead({ ...night, restOfDay: null, nextSunriseAt: null })[1]).toBe('It does not rise within two days.');
  });

  it('warns of what is left aimed at the sun only where flat gathers more', () => {
    expect(gatheredRows(left, formats).map(({ name, energy, note }) => [name, plain(energy), note])).toEqual([
      ['the best way, left alone', '1 080 Wh', ''],
      ['as they stand', '810 Wh', ''],
      ['flat', '860 Wh', ''],
      ['aimed at the sun now, and left', '900 Wh', ''],
    ]);
    const morning = gatheredRows({ ...left, leftAtSunWh: 500, standingWh: null }, formats);
    expect(morning.map(({ note }) => note)).toEqual(['', '', 'worse than flat']);
    expect(gatheredRows({ ...left, leftAtSunWh: null }, formats)).toHaveLength(3);
  });

  it('tells what turning now gains, or that they stand well', () => {
    expect(plain(reaimed(left, formats))).toBe('Turning them now gains about 270 Wh.');
    expect(reaimed({ ...left, standingWh: 1070 }, formats)).toMatch(/^They stand well/);
    expect(reaimed({ ...left, standingWh: null }, formats)).toMatch(/^How they stand is not told/);
  });

  it('rounds to what can be meant', () => {
    expect([4.4, 96.2, 104, 1084, 12_345].map(wh => plain(wattHours(wh, formats)))).toEqual([
      '4 Wh',
      '96 Wh',
      '100 Wh',
      '1 080 Wh',
      '12.3 kWh',
    ]);
    expect([3.4, 49, 187.2, 236.4].map(w => plain(bandWatts(w, formats)))).toEqual(['3 W', '49 W', '185 W', '235 W']);
  });

  it('has words for every cause, and one thing to look at', () => {
    expect(Object.keys(CAUSES)).toHaveLength(13);
    for (const [what, check] of Object.values(CAUSES))
      expect([what.length > 5, check.endsWith('.')]).toEqual([true, true]);
  });
});

/** Whether a straight line comes through a word's box, felt for along the line. */
const crosses = (a: Point, b: Point, { x, y, width, height }: Word): boolean =>
  Array.from({ length: 61 }, (_, i) => i / 60).some(t => {
    const at = { x: a.x + t * (b.x - a.x), y: a.y + t * (b.y - a.y) };
    return Math.abs(at.x - x) < width / 2 && Math.abs(at.y - y) < height / 2;
  });
const boxOf = ({ x, y, width, height }: Word) => ({ x: x - width / 2, y: y - height / 2, width, height });
const NAMES = { north: 'N', sun: 'sun', shadow: 'shadow' };

describe('the drawings', () => {
  it('from above keep every word off every line and every other word, and within the drawing', () => {
    for (let toward = 0; toward < 360; toward += 5)
      for (let face = 0; face < 360; face += 20) {
        const plan = fromAbove(toward, face, NAMES);
        const lines: [Point, Point][] = [
          [plan.peg, plan.shadowEnd],
          [plan.peg, plan.sun],
          [plan.peg, plan.arrowTip],
          [...plan.panel],
        ];
        for (const [i, word] of plan.words.entries()) {
          const box = boxOf(word);
          expect([toward, face, word.text, lines.some(([a, b]) => crosses(a, b, word))]).toEqual([
            toward,
            face,
            word.text,
            false,
          ]);
          expect([box.x >= 0, box.y >= 0, box.x + box.width <= ABOVE_PX, box.y + box.height <= ABOVE_PX]).toEqual([
            true,
            true,
            true,
            true,
          ]);
          for (const other of plan.words.slice(0, i))
            expect([toward, word.text, overlap(box, boxOf(other))]).toEqual([toward, word.text, false]);
        }
      }
  });

  it('from above set sun and shadow against each other, and the panel square to where it looks', () => {
    const plan = fromAbove(32, 246, NAMES);
    expect(plan.sun.x - plan.peg.x).toBeCloseTo((-84 / 80) * (plan.shadowEnd.x - plan.peg.x), 6);
    const [a, b] = plan.panel;
    expect((b.x - a.x) * (plan.arrowTip.x - plan.peg.x) + (b.y - a.y) * (plan.arrowTip.y - plan.peg.y)).toBeCloseTo(
      0,
      6,
    );
    // North at the top, east at the right.
    expect(fromAbove(180, 90, NAMES).arrowTip.x).toBeGreaterThan(plan.peg.x);
    expect(fromAbove(180, 0, NAMES).sun.y).toBeLessThan(plan.peg.y);
  });

  it('from the side lean the metre of panel at its tilt, words beside it', () => {
    for (let tilt = 2; tilt <= 90; tilt += 2) {
      const rise = `${Math.round(100 * Math.sin((tilt * Math.PI) / 180))} cm`;
      const { foot, back, words } = fromSide(tilt, rise, '1 m');
      expect(Math.hypot(back.x - foot.x, back.y - foot.y)).toBeCloseTo(150, 6);
      expect((foot.y - back.y) / 150).toBeCloseTo(Math.sin((tilt * Math.PI) / 180), 6);
      for (const word of words) {
        const box = boxOf(word);
        expect([tilt, word.text, crosses(foot, back, word)]).toEqual([tilt, word.text, false]);
        expect([tilt, word.text, crosses(back, { x: back.x, y: foot.y }, word)]).toEqual([tilt, word.text, false]);
        expect([box.x >= 0, box.y >= 0, box.x + box.width <= SIDE_PX.width]).toEqual([true, true, true]);
        expect(box.y + box.height).toBeLessThanOrEqual(foot.y);
      }
    }
  });
});
