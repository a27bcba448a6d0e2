import { describe, expect, it } from 'vitest';
import type { Ink } from '../../web/charts/ink.ts';
import { paintMarks } from '../../web/charts/now-paint.ts';
import { type NowPicture, nowPicture } from '../../web/charts/now-picture.ts';
import { paletteOf } from '../../web/charts/palette.ts';
import { plotLayout } from '../../web/charts/plot-layout.ts';
import { formatsFor, timesFor } from '../../web/format.ts';
import { addSeries, emptyHistory } from '../../web/state/history.ts';
import { EVENING_AT, shedProjection, shedSeries, shedStation, ZONE } from '../support/honey-shed.ts';

const HOUR = 3_600_000;
interface Words {
  text: string;
  left: number;
  right: number;
  y: number;
}

/** Ink that only notes the words it was told to set; every letter is 7 px wide. */
function notingInk(words: Words[]): Ink {
  const nothing = () => undefined;
  const measure = (text: string) => text.length * 7;
  return {
    line: nothing,
    box: nothing,
    outline: nothing,
    dot: nothing,
    measure,
    text(text, x, y, style) {
      const width = measure(text);
      const left = style.align === 'center' ? x - width / 2 : style.align === 'right' ? x - width : x;
      words.push({ text, left, right: left + width, y });
    },
  };
}

function wordsOn(picture: NowPicture, widthPx: number): { words: Words[]; now: number } {
  const words: Words[] = [];
  const layout = plotLayout(widthPx < 500 ? 301 : 347);
  const { fromMs, toMs, nowMs } = picture.span;
  const x = (at: number) => 8 + ((at - fromMs) / (toMs - fromMs)) * (widthPx - 17);
  const level = (percent: number) => layout.emptyPx - (percent / 100) * (layout.emptyPx - layout.fullPx);
  const palette = paletteOf({ getPropertyValue: () => '' });
  paintMarks(notingInk(words), picture, palette, { layout, left: 8, right: widthPx - 9, top: 0, x, level });
  return { words, now: x(nowMs) };
}

const history = emptyHistory(EVENING_AT - 18 * HOUR, 60_000, ['stateOfChargePct', 'inputPowerW', 'outputPowerW']);
addSeries(history, shedSeries(EVENING_AT - 18 * HOUR, EVENING_AT));
const at = (h: number) => new Date(EVENING_AT + h * HOUR).toISOString();
const moments = (p10: number, p50: number, p90: number) => ({ p10: at(p10), p50: at(p50), p90: at(p90) });
const ends: readonly (readonly [number, number, number])[] = [
  [0.1, 0.2, 0.4],
  [0.4, 0.5, 0.75],
  [1, 1.2, 1.4],
  [5.4, 7.2, 9.4],
  [20, 26, 40],
] as const;
const cases = [320, 374, 1200].flatMap(width =>
  ends.flatMap(end => [
    {
      width,
      end: end.join(' to '),
      toward: 'empty' as const,
      projection: shedProjection({ emptyAt: moments(...end) }),
    },
    {
      width,
      end: end.join(' to '),
      toward: 'full' as const,
      projection: shedProjection({ toward: 'full', emptyAt: null, fullAt: moments(...end) }),
    },
  ]),
);

describe('the words on the drawing', () => {
  it.each(cases)('stand apart, at $width px, $toward in $end h', ({ width, projection }) => {
    const picture = nowPicture({
      history,
      projection,
      station: shedStation(),
      staleAfterMs: 5000,
      nowAt: EVENING_AT,
      widthPx: width,
      formats: formatsFor('en-GB', 'C'),
      times: timesFor('en-GB', ZONE, '24'),
    });
    const { words, now } = wordsOn(picture, width);
    const ahead = words.filter(w => /^\d\d:\d\d/.test(w.text));
    for (const word of ahead) expect(word.left).toBeGreaterThan(now);
    const sunset = words.find(w => /^sunset.17:01/.test(w.text));
    expect(sunset === undefined || sunset.right < now ? 'before now' : sunset).toBe('before now');
    for (const [i, a] of words.entries()) {
      expect(a.left).toBeGreaterThanOrEqual(0);
      expect(a.right).toBeLessThanOrEqual(width + 2);
      for (const b of words.slice(i + 1)) {
        const touch = Math.abs(a.y - b.y) < 12 && a.left < b.right && a.right > b.left;
        expect(touch ? `${a.text} on ${b.text}` : 'apart').toBe('apart');
      }
    }
  });
});
