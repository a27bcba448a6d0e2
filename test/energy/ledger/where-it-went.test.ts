/** Where the clear sky's energy went: the sum is exact whatever the day, and each cause gets what is its own. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { AT_PORT, type DayMinutes, type DaySums, FREE, FULL } from '#energy/ledger/day-minutes';
import { type WhereItWent, whereItWent } from '#energy/ledger/where-it-went';

const sumOf = (where: WhereItWent): number => Object.values(where).reduce((a, b) => a + Math.round(b * 1000), 0);
const whOf = (watts: Float64Array): number => watts.reduce((a, b) => a + b, 0) / 60;

const day = (change: Partial<DayMinutes> & Pick<DayMinutes, 'clearW' | 'sunW'>): DayMinutes => ({
  held: new Uint8Array(change.clearW.length),
  through: null,
  away: new Uint8Array(change.clearW.length),
  lightShare: null,
  passed: change.clearW.length,
  ...change,
});
const sums = (harvestWh: number, change: Partial<DaySums> = {}): DaySums => ({
  harvestWh,
  covered: 1,
  level: 1,
  usualSky: 0.7,
  ...change,
});

const MINUTES = 240;
const watts = (max: number) => fc.double({ min: 0, max, noNaN: true });
const column = <T>(of: fc.Arbitrary<T>) => fc.array(of, { minLength: MINUTES, maxLength: MINUTES });
const anyDay = fc.record({
  clearW: column(watts(900)),
  sunW: column(fc.oneof({ weight: 4, arbitrary: watts(1000) }, { weight: 1, arbitrary: fc.constant(Number.NaN) })),
  held: column(fc.constantFrom(FREE, FREE, FULL, AT_PORT)),
  through: fc.option(column(fc.double({ min: 0, max: 1, noNaN: true }))),
  away: column(fc.constantFrom(0, 0, 0, 1)),
  lightShare: fc.option(column(fc.double({ min: 0, max: 1.3, noNaN: true }))),
  passed: fc.integer({ min: 0, max: MINUTES }),
  harvestWh: watts(5000),
  covered: fc.double({ min: 0, max: 1, noNaN: true }),
  level: fc.double({ min: 0.4, max: 1.4, noNaN: true }),
});

describe('where a day’s clear-sky energy went', () => {
  it('adds up with the harvest to the clear sky, to the milliwatt-hour, whatever was recorded', () => {
    fc.assert(
      fc.property(anyDay, any => {
        const clearW = Float64Array.from(any.clearW);
        const where = whereItWent(
          {
            clearW,
            sunW: Float64Array.from(any.sunW),
            held: Uint8Array.from(any.held),
            through: any.through === null ? null : Float64Array.from(any.through),
            away: Uint8Array.from(any.away),
            lightShare: any.lightShare === null ? null : Float64Array.from(any.lightShare),
            passed: any.passed,
          },
          { harvestWh: any.harvestWh, covered: any.covered, level: any.level, usualSky: 0.6 },
        );
        expect(Object.values(where).every(Number.isFinite)).toBe(true);
        // Nothing takes less than nothing away; what the model falls short of is left over.
        const { otherWh: _, ...causes } = where;
        expect(Math.min(...Object.values(causes))).toBeGreaterThanOrEqual(0);
        expect(sumOf(where) + Math.round(any.harvestWh * 1000)).toBe(Math.round(whOf(clearW) * 1000));
        for (const never of [where.shadeWh, where.fullWh, where.portLimitWh, where.notRecordedWh, where.aheadWh])
          expect(never).toBeGreaterThanOrEqual(0);
      }),
      { numRuns: 200 },
    );
  });

  const clearW = Float64Array.from({ length: 600 }, (_, m) => 400 * Math.sin((Math.PI * m) / 600));
  const of = (share: (m: number) => number) => clearW.map((w, m) => w * share(m));

  it('is all other where a clear day stays below the model by its own level', () => {
    const sunW = of(() => 0.85);
    const where = whereItWent(day({ clearW, sunW }), sums(whOf(sunW), { level: 0.85 }));
    expect(where.cloudWh).toBeCloseTo(0, 6);
    expect(where.otherWh).toBeCloseTo(0.15 * whOf(clearW), 2);
  });

  it('is cloud where less than the own level came in minutes that nothing else explains', () => {
    const sunW = of(m => (m < 300 ? 0.85 : 0.2));
    const where = whereItWent(day({ clearW, sunW }), sums(whOf(sunW), { level: 0.85 }));
    expect(where.cloudWh).toBeCloseTo(0.65 * whOf(clearW.subarray(300)), 0);
    expect(where.otherWh).toBeCloseTo(0.15 * whOf(clearW), 0);
  });

  it('takes the sky behind a full battery to be as it was before', () => {
    const held = Uint8Array.from(clearW, (_, m) => (m >= 300 ? FULL : FREE));
    const sunW = of(m => (m < 300 ? 1 : 0.1));
    const clear = whereItWent(day({ clearW, sunW, held }), sums(whOf(sunW)));
    expect(clear.fullWh).toBeGreaterThan(0.95 * 0.9 * 0.5 * whOf(clearW));
    expect(clear.cloudWh).toBeLessThan(0.03 * whOf(clearW));
    const dull = of(m => (m < 300 ? 0.3 : 0.1));
    const behindClouds = whereItWent(day({ clearW, sunW: dull, held }), sums(whOf(dull)));
    // A cloudy day cannot have lost to the battery what the clouds had taken before.
    expect(behindClouds.fullWh).toBeLessThan(0.25 * 0.5 * whOf(clearW));
  });

  it('parts shade, sky and port in the order in which the light meets them', () => {
    const through = Float64Array.from(clearW, (_, m) => (m >= 400 ? 0.25 : 1));
    const held = Uint8Array.from(clearW, (_, m) => (m < 200 ? FREE : m < 300 ? AT_PORT : FREE));
    const sunW = of(m => (m >= 400 ? 0.25 : m >= 200 && m < 300 ? 0.7 : 1));
    const where = whereItWent(day({ clearW, sunW, through, held }), sums(whOf(sunW)));
    const shaded = whOf(clearW.filter((_, m) => m >= 400));
    const clipped = whOf(clearW.filter((_, m) => m >= 200 && m < 300));
    expect(where.shadeWh / (0.75 * shaded)).toBeGreaterThan(0.95);
    expect(where.portLimitWh / (0.3 * clipped)).toBeGreaterThan(0.95);
    expect(where.cloudWh).toBeLessThan(0.02 * whOf(clearW));
  });

  it('is not out where the owner says so, not recorded where nothing tells, and ahead where the day still runs', () => {
    const away = Uint8Array.from(clearW, (_, m) => (m < 100 ? 1 : 0));
    const sunW = of(m => (m < 100 || (m >= 200 && m < 300) || m >= 500 ? Number.NaN : 1));
    const where = whereItWent(day({ clearW, sunW, away, passed: 500 }), sums(whOf(sunW.map(w => w || 0))));
    const part = (from: number, to: number) => whOf(clearW.filter((_, m) => m >= from && m < to));
    expect(where.notOutWh).toBeCloseTo(part(0, 100), 2);
    expect(where.notRecordedWh).toBeCloseTo(part(200, 300), 2);
    expect(where.aheadWh).toBeCloseTo(part(500, 600), 2);
    expect(where.cloudWh + where.otherWh).toBeCloseTo(0, 2);
  });

  it('believes measured light: what it lacks is cloud, what came less beside it is other', () => {
    const sunW = of(() => 0.5);
    const where = whereItWent(
      day({ clearW, sunW, lightShare: new Float64Array(600).fill(0.6) }),
      sums(whOf(sunW), { level: 1 }),
    );
    expect(where.cloudWh).toBeCloseTo(0.4 * whOf(clearW), 1);
    expect(where.otherWh).toBeCloseTo(0.1 * whOf(clearW), 1);
  });
});
