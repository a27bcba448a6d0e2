import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { BATTERY_PRIOR, changePctPerHour, deliverableWh, fastestPctPerHour } from '#energy/estimates/battery-prior';
import { inputAhead } from '#energy/estimates/input-ahead';
import { normalQuantile } from '#energy/estimates/normal';
import { type ProjectionInput, project, type Window } from '#energy/estimates/rolling-projection';

const HOUR = 3_600_000;
const steady = (outputW: number, inputW = 0): Window[] =>
  [15, 60, 180, 360, 720, 1440].map(minutes => ({ minutes, inputW, outputW, coverage: 1 }));
const ask = (over: Partial<ProjectionInput> = {}): ProjectionInput => ({
  atMs: Date.parse('2026-06-01T20:00:00Z'),
  stateOfChargePct: 52,
  ratedWh: 1000,
  floorPct: 10,
  ceilingPct: 100,
  lowCutoffPct: 0,
  windows: steady(100),
  historyMinutes: 1440,
  inputAheadW: Array<number>(576).fill(0),
  inputLimitW: null,
  stepMs: 300_000,
  prior: BATTERY_PRIOR,
  ...over,
});

describe('energy a label stands for', () => {
  // Share of rated energy that reaches AC loads, computed from the converter list named in battery-prior.ts.
  it.each([
    [10, 0.43],
    [50, 0.74],
    [100, 0.81],
    [300, 0.87],
    [600, 0.88],
  ])('at %i W of load is %f of it', (load, share) => {
    expect(deliverableWh(1000, 100, 0, load, BATTERY_PRIOR) / 1000).toBeCloseTo(share, 1.7);
  });
});

describe('the projection', () => {
  it('meets a hand-worked steady load in its middle', () => {
    // 42 % of 970 Wh = 407.4 Wh; 100 W · 1.08 + 12 W = 120 W: 3.395 h.
    const { toward, emptyAt } = project(ask());
    expect(toward).toBe('empty');
    expect((emptyAt!.p50! - ask().atMs) / HOUR).toBeCloseTo(3.395, 1);
  });

  it('promises the lower end first and keeps its moments in order', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 11, max: 100 }),
        fc.integer({ min: 5, max: 1500 }),
        fc.integer({ min: 0, max: 400 }),
        fc.integer({ min: 5, max: 1440 }),
        (pct, load, sun, history) => {
          const p = project(
            ask({
              stateOfChargePct: pct,
              windows: steady(load, sun),
              historyMinutes: history,
              inputAheadW: Array<number>(576).fill(sun),
            }),
          );
          for (const m of [p.emptyAt, p.stopsAt, p.fullAt])
            if (m !== null) {
              if (m.p50 !== null) expect(m.p10).toBeLessThanOrEqual(m.p50);
              if (m.p90 !== null) expect(m.p50!).toBeLessThanOrEqual(m.p90);
              expect(m.p10).toBeGreaterThanOrEqual(ask().atMs);
            }
          const known = p.quantiles.flatMap(q => (q.at === null ? [] : [q.at]));
          expect(known).toEqual([...known].sort((a, b) => a - b));
          expect(p.courses.every(c => c.pct.every(level => level >= 0 && level <= 100))).toBe(true);
        },
      ),
      { numRuns: 100 },
    );
  });

  it('ends sooner with more load and later with more charge', () => {
    const at = (over: Partial<ProjectionInput>) => project(ask(over)).emptyAt!.p50!;
    expect(at({ windows: steady(150) })).toBeLessThan(at({}));
    expect(at({ stateOfChargePct: 80 })).toBeGreaterThan(at({}));
  });

  it('is wider where the windows disagree', () => {
    const mixed = steady(100).map((w, i) => ({ ...w, outputW: i % 2 === 0 ? 60 : 140 }));
    const width = (windows: Window[]) => {
      const m = project(ask({ windows })).emptyAt!;
      return m.p90! - m.p10;
    };
    expect(width(mixed)).toBeGreaterThan(width(steady(100)));
  });

  it('tells the next hour by the last hour and the next day by the last day', () => {
    // Quiet now after a busy day: full soon, though the day's mean load would never let it.
    const quiet = steady(600).map(w => (w.minutes <= 60 ? { ...w, outputW: 10 } : w));
    const p = project(ask({ stateOfChargePct: 95, windows: quiet, inputAheadW: Array<number>(576).fill(220) }));
    expect(p.toward).toBe('full');
    expect(p.emptyAt?.p50).not.toBeNull();
  });

  it('tells both the floor and the end of the outlets, the floor first', () => {
    const { emptyAt, stopsAt } = project(ask());
    expect(stopsAt!.p50!).toBeGreaterThan(emptyAt!.p50!);
  });

  it('heads for full where more comes in than goes out, and slows near the top', () => {
    const p = project(ask({ windows: steady(20, 700), inputAheadW: Array<number>(576).fill(700) }));
    expect(p.toward).toBe('full');
    const constantH = 48 / changePctPerHour(1000, 700, 20, BATTERY_PRIOR);
    expect((p.fullAt!.p50! - ask().atMs) / HOUR).toBeGreaterThan(constantH);
  });

  it('reaches full on a small solar surplus, since the load is served first', () => {
    const p = project(
      ask({ stateOfChargePct: 88, windows: steady(20, 220), inputAheadW: Array<number>(576).fill(220) }),
    );
    expect(p.toward).toBe('full');
    expect(p.fullAt!.p90).not.toBeNull();
  });

  it('takes as long for the last tenth at full current as a measured charge took', () => {
    // 18.6 min for the last 10 %: 12.8 V LFP bank at 79 A, W. K. Collis, CC BY 4.0.
    let minutes = 0;
    for (let pct = 90; pct < 100; pct += 0.01) minutes += (0.01 / fastestPctPerHour(pct)) * 60;
    expect(Math.abs(minutes - 18.6)).toBeLessThan(2);
  });

  it('expects no more than the ports take', () => {
    const sunny = { windows: steady(60, 220), inputAheadW: Array<number>(576).fill(220) };
    const early = (inputLimitW: number | null) => project(ask({ ...sunny, inputLimitW })).fullAt!.p10;
    expect(early(225)).toBeGreaterThan(early(null));
  });

  it('is steady where neither end comes within the horizon', () => {
    // 15.05 W of input pays 12 W of own draw and 1.85 W of load at the prior's efficiencies.
    const p = project(ask({ windows: steady(2, 15.3), inputAheadW: Array<number>(144).fill(15.3) }));
    expect(p.toward).toBe('steady');
  });

  it.each([
    ['noStateOfCharge', { stateOfChargePct: null }],
    ['noRatedWh', { ratedWh: null }],
    ['noPower', { windows: [] }],
    ['noHistory', { historyMinutes: 4 }],
  ] as const)('promises nothing and says why: %s', (why, over) => {
    const p = project(ask(over));
    expect(p.toward).toBe('none');
    expect(p.why).toBe(why);
    expect(p.emptyAt).toBeNull();
  });

  it('calls itself early below an hour of history', () => {
    expect(project(ask({ historyMinutes: 30 })).early).toBe(true);
    expect(project(ask({ historyMinutes: 90 })).early).toBe(false);
  });

  it('says that the floor is reached', () => {
    const p = project(ask({ stateOfChargePct: 9 }));
    expect(p.why).toBe('atFloor');
    expect(p.emptyAt!.p50).toBe(ask().atMs);
    expect(p.leftWh).toBe(0);
  });
});

describe('the input ahead', () => {
  const base = { atMs: 0, stepMs: 900_000, steps: 96, solarW: 200, otherW: 0, slotAt: () => 0 };
  it('ends with the sun', () => {
    const set = (t: number) => (t < 2 * HOUR ? 30 : -10);
    const ahead = inputAhead({ ...base, elevationDeg: set, slotMeansW: null });
    expect(ahead[0]).toBeGreaterThan(150);
    expect(Math.max(...ahead.slice(8))).toBe(0);
  });
  it('becomes what the same hours of the last days brought', () => {
    const ahead = inputAhead({ ...base, elevationDeg: () => 30, slotMeansW: Array<number>(96).fill(120) });
    expect(ahead.at(-1)).toBeCloseTo(120, 0);
  });
  it('keeps a charger as it is', () => {
    const ahead = inputAhead({ ...base, solarW: 0, otherW: 300, elevationDeg: null, slotMeansW: null });
    expect(new Set(ahead)).toEqual(new Set([300]));
  });
});

describe('the normal quantile', () => {
  // Abramowitz & Stegun, table 26.5.
  it.each([
    [0.5, 0],
    [0.9, 1.2815515655],
    [0.975, 1.9599639845],
    [0.05, -1.644853627],
    [0.001, -3.0902323062],
  ])('of %f is %f', (p, z) => {
    expect(normalQuantile(p)).toBeCloseTo(z, 6);
  });
});
