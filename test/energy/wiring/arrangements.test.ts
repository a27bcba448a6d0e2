import { describe, expect, it } from 'vitest';
import { type Arrangement, checkArrangements, type Panel, type Port, plainUnits, say } from '#energy/wiring/index';
import { COLD_STRINGS, FUSES } from '../../reference/wiring.ts';
import { shedPanel, shedPort, shedWeather } from '../../support/any-panels.ts';

const find = (all: readonly Arrangement[], series: number, parallel: number): Arrangement =>
  all.find(found => found.series === series && found.parallel === parallel)!;
const codes = (found: Arrangement) => found.reasons.map(({ code }) => code);
const check = (panel: Partial<Panel> = {}, port: Partial<Port> = {}, weather = shedWeather) =>
  checkArrangements([{ ...shedPanel, ...panel }], { ...shedPort, ...port }, weather);
const text = (found: Arrangement) => found.reasons.map(reason => say(reason, plainUnits)).join(' ');

describe('three panels at the shed', () => {
  const all = check();

  it('can be wired in every series × parallel that they suffice for, the best first', () => {
    expect(all.map(({ series, parallel, verdict }) => [series, parallel, verdict])).toEqual([
      [3, 1, 'fits'],
      [2, 1, 'fits'],
      [1, 1, 'too low to start'],
      [1, 2, 'do not connect'],
      [1, 3, 'do not connect'],
    ]);
  });

  it('fit in series: 75.5 V cold, 6.38 A', () => {
    const three = find(all, 3, 1);
    expect(three.coldOpenCircuitV).toBeCloseTo(75.5328, 9);
    expect(three.coldOpenCircuitMaxV).toBeCloseTo(75.5328 * 1.05, 9);
    expect(three.designCurrentA).toBeCloseTo(6.375, 9);
    expect([three.peakW, three.clippedW, three.stringFuses]).toEqual([270, 0, false]);
  });

  it('in parallel are 19.1 A for a port of 9 A, and 12.75 A could flow back into a panel that allows 10 A', () => {
    const three = find(all, 1, 3);
    expect(codes(three)[0]).toBe('overCurrent');
    expect(three.designCurrentA).toBeCloseTo(19.125, 9);
    expect(three.stringFuses).toBe(true);
    expect(three.fuse).toMatchObject({ backFeedA: 12.75, ratingA: 10, sizeA: 10 });
    expect(text(three)).toMatch(/19\.1 A.*9 A.*12\.8 A could flow back.*10 A/);
  });

  it('two in series leave one over, a third less power', () => {
    const two = find(all, 2, 1);
    expect(two.coldOpenCircuitV).toBeCloseTo(50.3552, 9);
    expect(two.panelsLeftOver).toBe(1);
    expect(text(two)).toContain('Leaves one panel over: 33 % less power.');
  });
});

describe('verdicts', () => {
  const exact = { tolerancePct: 0 };

  it('take the limit itself as not exceeded, and a hair above it as exceeded', () => {
    const vocV = 21.6;
    const panel = { ...exact, openCircuitV: vocV, openCircuitPctPerK: -0.33, maxPowerV: 18, count: 2 };
    const at = (maxV: number) => find(check(panel, { maxV }, { coldestC: -10, hottestC: 35 }), 2, 1);
    expect(at(48.1896).verdict).toBe('fits, barely');
    expect(at(48.1895).verdict).toBe('do not connect');
    expect(at(48.1896 / 0.9699).verdict).toBe('fits');
  });

  it('are bare within 3 % of any limit, the 3 % included', () => {
    for (const nearLimit of [{ maxA: 6.375 / 0.97 }, { maxA: 6.375 }, { maxW: 270 / 0.97 }, { maxW: 270 }]) {
      expect(find(check({}, nearLimit), 3, 1).verdict).toBe('fits, barely');
    }
    expect(find(check({}, { maxA: 6.375 / 0.9699 }), 3, 1).verdict).toBe('fits');
    expect(find(check({}, { maxW: 270 / 0.9699 }), 3, 1).verdict).toBe('fits');
  });

  it('count the label tolerance: typed, else 3 % rigid and 5 % folding', () => {
    const maxOf = (panel: Partial<Panel>) => find(check(panel), 1, 1).coldOpenCircuitMaxV! / (22.4 * 1.124);
    expect(maxOf({ tolerancePct: 2 })).toBeCloseTo(1.02, 12);
    expect(maxOf({ build: 'rigid' })).toBeCloseTo(1.03, 12);
    expect(maxOf({ build: null })).toBeCloseTo(1.03, 12);
    expect(maxOf({ build: 'folding' })).toBeCloseTo(1.05, 12);
  });

  it('refuse what exceeds the limit only with the tolerance on top', () => {
    expect(find(check({ tolerancePct: 5 }, { maxV: 79 }), 3, 1).verdict).toBe('do not connect');
    expect(find(check({ tolerancePct: 4 }, { maxV: 79 }), 3, 1).verdict).toBe('fits, barely');
  });

  it('refuse too high a current, unless the port allows it: then it clips', () => {
    expect(find(check({}, { maxA: 6 }), 3, 1).verdict).toBe('do not connect');
    const allowed = find(check({}, { maxA: 4, overCurrentAllowed: true }), 3, 1);
    expect(allowed.verdict).toBe('clips');
    expect(allowed.clippedW).toBeCloseTo(270 - 4 * 55.8, 9);
  });

  it('clip where the port takes fewer watts', () => {
    const clipped = find(check({}, { maxW: 200 }), 3, 1);
    expect([clipped.verdict, clipped.clippedW, clipped.deliverableW]).toEqual(['clips', 70, 200]);
  });

  it('call it too low to start where hot panels stay under the port', () => {
    expect(find(check({}, { minV: 48 }), 3, 1).verdict).toBe('too low to start');
    expect(find(check({}, { minV: 46 }), 3, 1).verdict).toBe('fits, barely');
  });

  it('name the worst that applies', () => {
    const one = find(check({}, { minV: 80, maxV: 82, maxW: 10 }), 3, 1);
    expect(one.verdict).toBe('too low to start');
    expect(codes(one)).toContain('overWatts');
    expect(find(check({ shortCircuitA: null }, { maxV: 70 }), 3, 1).verdict).toBe('do not connect');
  });

  it('count the lead: its volts at the port, and its plugs', () => {
    const lead = (plugA: number, lengthM = 5) => ({ lead: { lengthM, conductorMm2: 1.5, plugA } });
    const rated = find(check({}, lead(10)), 3, 1);
    expect(rated.verdict).toBe('fits');
    expect(text(rated)).toContain('it is rated 10 A');
    expect(find(check({}, lead(6)), 3, 1).verdict).toBe('do not connect');
    expect(find(check({}, { ...lead(6), overCurrentAllowed: true }), 3, 1).verdict).toBe('do not connect');
    expect(find(check({}, { minV: 44, ...lead(10) }), 3, 1).verdict).not.toBe('too low to start');
    expect(find(check({}, { minV: 44, ...lead(10, 40) }), 3, 1).verdict).toBe('too low to start');
  });

  it('cannot be given where no usual fuse fits the panels of strings that need one', () => {
    const fuseless = check({ shortCircuitA: 9, maxPowerA: 8.5, maxSeriesFuseA: 10 }, { maxA: 60, maxW: 900, minV: 10 });
    expect(find(fuseless, 1, 3).verdict).toBe('cannot say');
  });

  it('say what was taken for granted', () => {
    const loose = find(
      check({ openCircuitPctPerK: null, powerPctPerK: null }, {}, { coldestC: -15, hottestC: null }),
      1,
      1,
    );
    expect(codes(loose)).toEqual(
      expect.arrayContaining(['byTable', 'toleranceAssumed', 'powerPctAssumed', 'hottestAssumed']),
    );
    expect(loose.coldOpenCircuitV).toBeCloseTo(22.4 * 1.16, 12);
  });
});

describe('published rows', () => {
  it.each(COLD_STRINGS)(
    '%f V, %f percent a kelvin, %i in series at %i °C',
    (vocV, pctPerK, series, coldestC, _f, byPct, _t, byTable) => {
      const panel = { openCircuitV: vocV, count: series, maxPowerV: vocV * 0.8, ratedW: 10 };
      const weather = { coldestC, hottestC: null };
      const longest = (told: Partial<Panel>) => find(check({ ...panel, ...told }, { maxV: 800 }, weather), series, 1);
      expect(longest({ openCircuitPctPerK: pctPerK }).coldOpenCircuitV).toBeCloseTo(byPct, 8);
      expect(longest({ openCircuitPctPerK: null }).coldOpenCircuitV).toBeCloseTo(byTable, 8);
    },
  );

  it.each(FUSES)('$strings strings of $iscA A, rated $ratingA A', ({ iscA, strings, ratingA, allA, nec }) => {
    const found = find(check({ shortCircuitA: iscA, maxSeriesFuseA: ratingA, count: strings }), 1, strings);
    expect(found.designCurrentA).toBeCloseTo(allA, 9);
    expect(found.stringFuses).toBe(nec);
  });
});

describe('two kinds of panel', () => {
  const small = { ...shedPanel, name: 'small', count: 2 };
  const large: Panel = { ...shedPanel, name: 'large', count: 1, ratedW: 200, openCircuitV: 45, maxPowerV: 37 };
  const all = (other: Partial<Panel> = {}) => checkArrangements([small, { ...large, ...other }], shedPort, shedWeather);
  const strings = (found: readonly Arrangement[], way: unknown) =>
    found.find(one => JSON.stringify(one.strings) === JSON.stringify(way))!;

  it('are mixed in one string, beside each other, or used alone', () => {
    const ways = all().map(({ strings: way }) => JSON.stringify(way));
    expect(new Set(ways).size).toBe(ways.length);
    for (const way of [
      [[1, 0]],
      [[0, 1]],
      [[1, 1]],
      [[2, 1]],
      [
        [2, 0],
        [0, 1],
      ],
      [
        [1, 0],
        [1, 0],
      ],
    ]) {
      expect(ways).toContain(JSON.stringify(way));
    }
  });

  it('lose watts in series where the currents differ, and say so', () => {
    const mixed = strings(all({ maxPowerA: 3.2, shortCircuitA: 3.5, ratedW: 118.4 }), [[1, 1]]);
    expect(mixed.mismatchLostW).toBeGreaterThan(20);
    expect(mixed.verdict).toBe('clips');
    expect(codes(mixed)).toContain('mismatch');
    expect(strings(all({ maxPowerA: 4.84, ratedW: 179.08 }), [[1, 1]]).mismatchLostW).toBeLessThan(1e-6);
  });

  it('are judged by the higher volts of nearly equal strings, and by the stronger panel of a string', () => {
    const lower = { ...shedPanel, name: 'lower', count: 1, openCircuitV: 21.8 };
    const beside = checkArrangements([{ ...small, count: 1 }, lower], { ...shedPort, maxV: 26 }, shedWeather);
    expect(
      codes(
        strings(beside, [
          [1, 0],
          [0, 1],
        ]),
      )[0],
    ).toBe('overVoltage');
    expect(codes(strings(beside, [[0, 1]]))).not.toContain('overVoltage');
    const weaker = { ...shedPanel, name: 'weaker', count: 1, shortCircuitA: 3.5, maxPowerA: 3.3 };
    const mixed = strings(checkArrangements([small, weaker], shedPort, shedWeather), [[1, 1]]);
    expect(mixed.designCurrentA).toBeCloseTo(6.375, 9);
  });

  it('are refused in parallel where the voltages differ, not where they match', () => {
    const allowed = { ...shedPort, overCurrentAllowed: true };
    const matched = strings(checkArrangements([small, large], allowed, shedWeather), [
      [2, 0],
      [0, 1],
    ]);
    expect(codes(matched)).not.toContain('unequalStrings');
    const apart = strings(checkArrangements([{ ...small, count: 1 }, large], allowed, shedWeather), [
      [1, 0],
      [0, 1],
    ]);
    expect(codes(apart)).toContain('unequalStrings');
    expect(apart.verdict).toBe('do not connect');
  });
});

describe('common practice', () => {
  it('two strings of two keep volts and amps between four in series and four in parallel', () => {
    const all = check({ count: 4 });
    const [series, both, parallel] = [find(all, 4, 1), find(all, 2, 2), find(all, 1, 4)];
    expect(both.coldOpenCircuitV! * 2).toBeCloseTo(series.coldOpenCircuitV!, 9);
    expect(both.coldOpenCircuitV!).toBeCloseTo(2 * parallel.coldOpenCircuitV!, 9);
    expect(both.shortCircuitA! * 2).toBeCloseTo(parallel.shortCircuitA!, 9);
    expect(both.shortCircuitA!).toBeCloseTo(2 * series.shortCircuitA!, 9);
  });
});
