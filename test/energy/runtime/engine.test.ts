import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRuntimeEngine, quantileOf, type RuntimeFacts } from '#energy/estimates/runtime/engine';

const MINUTE = 60_000;
const START = Date.parse('2026-06-01T12:00:00Z');
const facts: RuntimeFacts = {
  ratedWh: 1000,
  floorPct: 10,
  ceilingPct: 100,
  lowCutoffPct: 0,
  panelsRatedW: null,
  solarMaxW: null,
  clearWm2: null,
};
/** What the made station does: 1.15 Wh of battery for each Wh out, 12 W for itself. */
const drainPct = (loadW: number) => (1.15 * loadW + 12) / 60 / 10;

/** Lives through `minutes` under a load; the state of charge is a whole percent. */
function lived(
  load: (minute: number) => number,
  minutes: number,
  log = 0,
  fromPct = 95,
  sunW: (atMs: number) => number = () => 0,
) {
  const engine = createRuntimeEngine(1000);
  let pct = fromPct;
  for (let m = -log; m <= minutes; m++) {
    engine.add({
      at: START + m * MINUTE,
      outputW: load(m),
      inputW: sunW(START + m * MINUTE),
      solarW: sunW(START + m * MINUTE),
      stateOfChargePct: m < 0 ? null : Math.round(pct),
    });
    if (m >= 0) pct -= drainPct(load(m)) - (0.95 * sunW(START + m * MINUTE)) / 600;
  }
  return { engine, at: START + minutes * MINUTE, pct };
}
const cycling = (m: number) => (((m % 50) + 50) % 50 < 15 ? 120 : 8);

describe('what is said, and when', () => {
  it('is nothing before twenty minutes and three percents, unless a day was recorded before', () => {
    const short = lived(() => 300, 10);
    expect(short.engine.project(short.at, facts)).toMatchObject({ why: 'noHistory', floor: null });
    const logged = lived(() => 300, 10, 1440);
    expect(logged.engine.project(logged.at, facts)).toMatchObject({ why: 'ok', early: false });
  });
  it('is early until an hour and eight percents', () => {
    const some = lived(() => 300, 45);
    expect(some.engine.project(some.at, facts).early).toBe(true);
    const more = lived(() => 300, 90);
    expect(more.engine.project(more.at, facts).early).toBe(false);
  });
  it('needs a label, or a few percents to learn the size from', () => {
    const engine = createRuntimeEngine(null);
    engine.add({ at: START, outputW: 100, inputW: 0, solarW: 0, stateOfChargePct: 80 });
    expect(engine.project(START, { ...facts, ratedWh: null }).why).toBe('noRatedWh');
  });
  it('names its doubts: a time without readings, a corrected gauge, a load unlike any before', () => {
    const { engine, at } = lived(() => 60, 400, 1440);
    engine.add({ at: at + 40 * MINUTE, outputW: 60, inputW: 0, solarW: 0, stateOfChargePct: 30 });
    expect(engine.project(at + 40 * MINUTE, facts).doubts).toContain('gap');
    const strange = lived(m => (m > 380 ? 600 : 60), 395, 1440);
    expect(strange.engine.project(strange.at, facts).doubts).toContain('newRegime');
  });
});

describe('how long it lasts', () => {
  it('is within 5 % under a constant load after eight percents', () => {
    const { engine, at, pct } = lived(() => 150, 60);
    const truth = (pct - 10.5) / drainPct(150);
    const { floor } = engine.project(at, facts);
    expect(Math.abs(floor!.p50 - truth) / truth).toBeLessThan(0.05);
    expect(floor!.p10).toBeLessThan(truth);
    expect(floor!.p90).toBeGreaterThan(truth);
  });
  it('knows that a compressor cycles: neither its watts of the moment nor its rest count alone', () => {
    for (const minutes of [255, 270]) {
      const { engine, at, pct } = lived(cycling, minutes, 1440);
      const mean = (15 * drainPct(120) + 35 * drainPct(8)) / 50;
      const truth = (pct - 10.5) / mean;
      const { floor } = engine.project(at, facts);
      expect(Math.abs(floor!.p50 - truth) / truth).toBeLessThan(0.1);
    }
  });
  it('is the same answer for the same readings and seed', () => {
    const once = lived(cycling, 200);
    const twice = lived(cycling, 200);
    expect(once.engine.project(once.at, facts, { seed: 7 }).floor).toEqual(
      twice.engine.project(twice.at, facts, { seed: 7 }).floor,
    );
  });
  it('never lasts longer to a higher floor, nor stops its outlets before the floor', () => {
    const { engine, at } = lived(cycling, 300);
    fc.assert(
      fc.property(fc.integer({ min: 5, max: 40 }), fc.integer({ min: 1, max: 20 }), (floorPct, more) => {
        const low = engine.project(at, { ...facts, floorPct });
        const high = engine.project(at, { ...facts, floorPct: floorPct + more });
        for (const p of [0.1, 0.5, 0.9])
          expect(quantileOf(high.courses!.floorMin, p)).toBeLessThanOrEqual(quantileOf(low.courses!.floorMin, p));
        expect(quantileOf(low.courses!.cutoffMin, 0.5)).toBeGreaterThanOrEqual(quantileOf(low.courses!.floorMin, 0.5));
      }),
      { numRuns: 10 },
    );
  });
});

describe('the sun in it', () => {
  const sunny = (atMs: number) => {
    const hour = ((((atMs - START) / 3_600_000 + 12) % 24) + 24) % 24;
    return Math.max(0, 900 * Math.sin(((hour - 6) / 12) * Math.PI));
  };
  it('carries a load through the day that it would not last without', () => {
    const { engine, at } = lived(
      () => 60,
      60,
      1440,
      60,
      at => 0.1 * sunny(at),
    );
    const dark = engine.project(at, facts).floor!;
    const bright = engine.project(at, { ...facts, clearWm2: sunny, panelsRatedW: 400 }).floor!;
    expect(bright.p50).toBeGreaterThan(dark.p50);
  });
  it('is not counted on where a whole bright day brought nothing', () => {
    const { engine, at } = lived(() => 60, 60, 1440, 60);
    const known = { ...facts, clearWm2: sunny, panelsRatedW: 400 };
    expect(engine.project(at, known).floor!.p50).toBe(engine.project(at, facts).floor!.p50);
  });
  it('never brings more than the ports take', () => {
    const { engine, at } = lived(
      () => 60,
      60,
      1440,
      60,
      at => 0.1 * sunny(at),
    );
    const narrow = { ...facts, clearWm2: sunny, panelsRatedW: 400 };
    const limited = engine.project(at, { ...narrow, solarMaxW: 20 }).floor!;
    expect(limited.p50).toBeLessThanOrEqual(engine.project(at, narrow).floor!.p50);
  });
});

describe('when it is full', () => {
  it('is told with the fall of power near the top: later than the watts of the moment say', () => {
    const engine = createRuntimeEngine(1000);
    let pct = 40;
    for (let m = 0; m < 60; m++) {
      engine.add({
        at: START + m * MINUTE,
        outputW: 0,
        inputW: 300,
        solarW: 0,
        stateOfChargePct: Math.round(pct),
        charger: 'wall',
      });
      pct += (0.95 * 300 - 11) / 60 / 10;
    }
    const { full } = engine.project(START + 59 * MINUTE, facts);
    const bare = (100 - pct) / ((0.95 * 300 - 11) / 60 / 10);
    expect(full!.p50).toBeGreaterThan(bare);
    expect(full!.p90).toBeLessThan(3 * bare);
  });

  /** Charges by 300 W, falling from 88 % on, load carried on top; shown as `rounding` says, 99 until it has rested. */
  const charging = (rounding: (pct: number) => number, restMin: number, untilLeftMin: number, sessions: number) => {
    const engine = createRuntimeEngine(1000);
    let at = 0;
    let told: { left: number; full: ReturnType<typeof engine.project>['full'] } | null = null;
    for (let session = 0; session <= sessions; session++) {
      const shares: { shown: number; inW: number }[] = [];
      for (let pct = 40, rest = restMin; rest > 0; ) {
        const share = pct <= 88 ? 1 : 1 - (0.92 * (pct - 88)) / 12;
        const intoW = pct >= 100 ? 3 : 285 * share;
        shares.push({ shown: Math.min(99, rounding(pct)), inW: (intoW + 11) / 0.95 });
        if (pct >= 100) rest--;
        else pct = Math.min(100, pct + intoW / 600);
      }
      shares.push({ shown: 100, inW: 12 });
      for (const [i, { shown, inW }] of shares.entries()) {
        const left = shares.length - 1 - i;
        engine.add({ at, outputW: 0, inputW: inW, solarW: 0, stateOfChargePct: shown, charger: 'wall' });
        if (session === sessions && left === untilLeftMin) told = { left, full: engine.project(at, facts).full };
        at += MINUTE;
      }
      at += 86_400_000;
    }
    return told!;
  };
  it.each([
    ['down', Math.floor],
    ['to the nearest', Math.round],
    ['up', Math.ceil],
  ])('holds whichever way a station rounds what it shows: %s', (_, rounding) => {
    for (const minutesLeft of [90, 45]) {
      const { left, full } = charging(rounding, 7, minutesLeft, 0);
      expect(full!.p10).toBeLessThan(left);
      expect(full!.p90).toBeGreaterThan(left);
    }
  });
  it('is within a tenth once four full charges were seen, in the last percent too', () => {
    for (const minutesLeft of [120, 60, 30, 12]) {
      const { left, full } = charging(Math.floor, 7, minutesLeft, 4);
      expect(Math.abs(full!.p50 - left)).toBeLessThan(Math.max(2, 0.1 * left));
    }
  });
});
