import { describe, expect, it } from 'vitest';
import { PANEL_DIODE } from '../../simulators/honey-shed.ts';
import { darkDiode, translate } from '../../simulators/plant/electric/diode.ts';
import { globalMaximum, type Rows, type Strings } from '../../simulators/plant/electric/string.ts';
import { createTracker, type PortFacts } from '../../simulators/plant/electric/tracker.ts';

const PORT: PortFacts = { name: 'port', maxW: 400, maxA: 9, minV: 16, maxV: 82 };

/** Three of the shed's panels in series, each under its own light, W/m². */
const lit = (light: readonly number[], cellTempC = 40): Strings => [
  light.map((wm2): Rows => {
    const diode = darkDiode();
    translate(PANEL_DIODE, Math.max(0.5, wm2), cellTempC, diode);
    return { diode, count: 1, bypassV: 0.5 };
  }),
];
const even = (wm2: number, cellTempC?: number) => lit([wm2, wm2, wm2], cellTempC);

/** A tracker and its clock. It begins just after a sweep that the clock asked for. */
function hunting(port: Partial<PortFacts> = {}) {
  const tracker = createTracker({ ...PORT, ...port });
  let ms = 1000;
  return (strings: Strings, seconds: number, limitW = PORT.maxW) =>
    Array.from({ length: seconds }, () => {
      ms += 1000;
      return { ...tracker.step(strings, limitW, ms, 1) };
    });
}

describe('the solar port', () => {
  it('starts after a few seconds, sweeps and then stays within half a percent of the maximum', () => {
    const seen = hunting()(even(800), 120);
    const bestW = globalMaximum(even(800)).powerW;
    expect(seen[2]!.powerW).toBe(0);
    expect(seen.slice(30).reduce((sum, t) => sum + t.powerW, 0) / 90).toBeGreaterThan(0.995 * bestW);
    for (const t of seen) expect(t.powerW).toBeLessThanOrEqual(bestW + 1e-6);
  });

  it('needs some seconds to resettle when it was held back and is let go', () => {
    const run = hunting();
    run(even(800, 65), 60);
    run(even(800, 30), 60, 20);
    const after = run(even(800, 10), 60);
    const bestW = globalMaximum(even(800, 10)).powerW;
    const settled = after.findIndex(t => t.powerW > 0.99 * bestW);
    expect(settled).toBeGreaterThan(0);
    expect(settled).toBeLessThan(30);
  });

  it('sweeps after a large drop, which costs some seconds of power', () => {
    const run = hunting();
    run(even(900), 120);
    const after = run(even(300), 60);
    const bestW = globalMaximum(even(300)).powerW;
    const poor = after.filter(t => t.powerW < 0.9 * bestW).length;
    expect(poor).toBeGreaterThanOrEqual(2);
    expect(poor).toBeLessThan(15);
    expect(after.at(-1)!.powerW).toBeGreaterThan(0.99 * bestW);
  });

  it('sits on the lower of two hills under a creeping shadow until its next sweep', () => {
    const run = hunting();
    run(even(900), 60);
    for (let k = 1; k <= 45; k++) run(lit([900, 900, 900 - 13 * k]), 10);
    const shaded = lit([900, 900, 900 - 13 * 45]);
    const bestW = globalMaximum(shaded).powerW;
    const caught = run(shaded, 60).at(-1)!;
    expect(caught.powerW).toBeLessThan(0.8 * bestW);
    const later = run(shaded, 600).at(-1)!;
    expect(later.powerW).toBeGreaterThan(0.99 * bestW);
  });

  it('keeps to its watts and to its amps at once, by going up in voltage', () => {
    const watts = hunting({ maxW: 150 })(even(900), 60, 150).at(-1)!;
    expect(watts.powerW).toBeCloseTo(150, 1);
    expect(watts).toMatchObject({ heldBy: 'watts' });
    expect(watts.voltageV).toBeGreaterThan(globalMaximum(even(900)).voltageV);
    const amps = hunting({ maxA: 2.5 })(even(900), 60).at(-1)!;
    expect(amps.powerW / amps.voltageV).toBeCloseTo(2.5, 2);
    expect(amps.heldBy).toBe('port');
  });

  it('does not start below its window and refuses above it', () => {
    expect(hunting({ minV: 70 })(even(900), 60).at(-1)).toMatchObject({ powerW: 0, heldBy: 'nothing' });
    expect(hunting({ maxV: 60 })(even(900), 60).at(-1)).toMatchObject({ powerW: 0, heldBy: 'port' });
  });

  it('never works outside its window', () => {
    for (const t of hunting({ minV: 55 })(lit([900, 900, 60]), 900))
      if (t.powerW > 0) expect(t.voltageV).toBeGreaterThanOrEqual(55);
  });

  it('brings in a long step what it brings in short ones', () => {
    const run = hunting();
    const fine = run(even(700), 1200).slice(60);
    const coarse = createTracker(PORT);
    coarse.step(even(700), 400, 0, 20);
    const wide = coarse.step(even(700), 400, 20_000, 20).powerW;
    const mean = fine.reduce((sum, t) => sum + t.powerW, 0) / fine.length;
    expect(Math.abs(wide / mean - 1)).toBeLessThan(0.005);
  });
});
