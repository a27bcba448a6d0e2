import { describe, expect, it } from 'vitest';
import { type MistakeCode, meterNow, mistakesAt, plainUnits, sayExpected, sayMistake } from '#energy/wiring/index';
import { shedPanel } from '../../support/any-panels.ts';

const panels = [{ ...shedPanel, count: 6 }];
const bright = { light: 'bright', airC: 20 } as const;
const three = [[3]];
const pairs = [[2], [2]];
const side = [[1], [1], [1]];

describe('a meter before plugging in', () => {
  it('should show the panels’ volts in range, whatever the light and the warmth', () => {
    for (const light of ['bright', 'cloudy'] as const)
      for (const airC of [null, -10, 20, 35]) {
        const range = meterNow(three, panels, { light, airC })!;
        expect(range.lowV).toBeLessThan(range.highV);
        expect(range.lowV).toBeGreaterThan(0.75 * 67.2);
        expect(range.highV).toBeLessThan(1.2 * 67.2);
      }
    const mild = meterNow(three, panels, bright)!;
    expect(mild.lowV).toBeLessThan(62);
    expect(mild.highV).toBeGreaterThan(70);
    expect(sayExpected(mild, plainUnits)).toContain('+ on the pin');
  });

  it('is not foretold without the open-circuit voltage', () => {
    const unknown = [{ ...shedPanel, openCircuitV: null }];
    expect(meterNow(three, unknown, bright)).toBeNull();
    expect(mistakesAt(60, three, unknown, bright)).toEqual([]);
  });

  it('shows the same for more strings of the same', () => {
    expect(meterNow(pairs, panels, bright)).toEqual(meterNow([[2]], panels, bright));
  });

  it.each<[string, number, number[][], MistakeCode[]]>([
    ['as wired', 66, three, ['asExpected']],
    ['plus and minus swapped', -66, three, ['reversed']],
    ['a panel missing', 44, three, ['panelMissing']],
    ['one string of two short of a panel', 22, pairs, ['panelMissing', 'inParallelNotSeries']],
    ['parallel instead of series, or one turned round', 21.5, three, ['inParallelNotSeries', 'panelReversed']],
    ['series instead of parallel', 65, side, ['inSeriesNotParallel']],
    ['two strings in series', 88, pairs, ['inSeriesNotParallel']],
    ['covered, or a lead open', 0.2, three, ['noVolts']],
    ['dirt or shade', 52, three, ['low']],
    ['too many panels', 95, three, ['high']],
    ['swapped and short of a panel', -44, three, ['reversed', 'low']],
  ])('points to what a reading means: %s', (_, volts, way, expected) => {
    expect(mistakesAt(volts, way, panels, bright)).toEqual(expected);
    for (const code of expected) expect(sayMistake(code, volts, plainUnits)).toContain(`${Math.abs(volts)} V`);
  });
});
