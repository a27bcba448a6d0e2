import { describe, expect, it } from 'vitest';
import { type DiodeFacts, darkDiode, maxPower, translate } from '../../simulators/plant/electric/diode.ts';
import {
  currentOf,
  globalMaximum,
  openCircuitOf,
  type Rows,
  type Strings,
  stringVoltageAt,
} from '../../simulators/plant/electric/string.ts';
import { MODULES, UNLIKE_LIGHT, UNLIKE_MODULES } from '../reference/diodes.ts';
import { fc } from './property.ts';

const rows = (irradianceWm2: number, cellTempC = 45, bypassV: number | null = 0.5, facts?: DiodeFacts): Rows => {
  const diode = darkDiode();
  translate(facts ?? MODULES.thirtySixCells, irradianceWm2, cellTempC, diode);
  return { diode, count: 1, bypassV };
};
const series = (light: readonly number[], bypassV: number | null): Strings => [light.map(g => rows(g, 45, bypassV))];
const parallel = (light: readonly number[]): Strings => light.map(g => [rows(g)]);
const best = (strings: Strings) => globalMaximum(strings).powerW;

describe('modules under unlike light', () => {
  it.each(UNLIKE_LIGHT)(
    'at %j W/m² give the published watts in series and in parallel',
    (light, sum, bypass, bare, side) => {
      const own = light.reduce((w, g) => w + maxPower(rows(g).diode).powerW, 0);
      expect(Math.abs(own - sum)).toBeLessThan(0.002);
      expect(Math.abs(best(series(light, 0.5)) - bypass)).toBeLessThan(0.01);
      expect(Math.abs(best(series(light, null)) - bare)).toBeLessThan(0.01);
      expect(Math.abs(best(parallel(light)) - side)).toBeLessThan(0.01);
    },
  );

  it('of unlike build give nearly all in series and two thirds in parallel', () => {
    const both = [rows(1000, 25), rows(1000, 25, 0.5, MODULES.seventyTwoCells)];
    expect(Math.abs(best([both]) - UNLIKE_MODULES.seriesW)).toBeLessThan(0.01);
    expect(Math.abs(best(both.map(r => [r])) - UNLIKE_MODULES.parallelW)).toBeLessThan(0.01);
    expect(both.reduce((w, r) => w + maxPower(r.diode).powerW, 0)).toBeCloseTo(UNLIKE_MODULES.sumW, 2);
  });

  it('are the same in whatever order they are joined, and grouped or apart', () => {
    const light = fc.array(fc.integer({ min: 20, max: 1200 }), { minLength: 2, maxLength: 6 });
    fc.assert(
      fc.property(light, g => {
        const there = best(series(g, 0.5));
        expect(best(series([...g].reverse(), 0.5))).toBeCloseTo(there, 6);
        const twice: Strings = [g.map(x => ({ ...rows(x), count: 2 }))];
        expect(best(series([...g, ...g], 0.5))).toBeCloseTo(best(twice), 5);
      }),
      { numRuns: 15 },
    );
  });

  it('never take current from one another', () => {
    const strings = parallel([1000, 100]);
    const open = openCircuitOf(strings);
    for (let v = 0; v <= open; v += 0.5) expect(currentOf(strings, v)).toBeGreaterThanOrEqual(0);
    expect(currentOf(strings, open + 1)).toBe(0);
  });
});

describe('a bypass diode', () => {
  it('costs a shaded row its drop and lets the others’ current by', () => {
    const [string] = series([1000, 1000, 30], 0.5);
    const bright = [string![0]!, string![1]!];
    expect(stringVoltageAt(string!, 4)).toBeCloseTo(stringVoltageAt(bright, 4) - 0.5, 9);
  });
});
