import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createSteadied } from '#energy/estimates/runtime/steadied';

const MINUTE = 60_000;
const range = (p10: number, p50: number, p90: number) => ({ p10, p50, p90 });
const toldAfter = (minutes: number, first: ReturnType<typeof range>, then: ReturnType<typeof range>, key = 'k') => {
  const steadied = createSteadied();
  steadied.of(0, 'k', first);
  return steadied.of(minutes * MINUTE, key, then);
};

describe('a foretold moment that holds still', () => {
  it('stays where it was while the answers agree', () => {
    expect(toldAfter(10, range(300, 400, 500), range(290, 390, 490))).toEqual(range(290, 390, 490));
  });
  it('lies between the answer before and the new one, nearer to the new one the more time has gone', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 50 }), fc.integer({ min: 250, max: 600 }), (minutes, now) => {
        const { p50 } = toldAfter(minutes, range(200, 400, 500), range(200, now, 700));
        expect(p50).toBeGreaterThanOrEqual(Math.min(now, 400 - minutes) - 1e-9);
        expect(p50).toBeLessThanOrEqual(Math.max(now, 400 - minutes) + 1e-9);
      }),
    );
    const p50 = (minutes: number) => toldAfter(minutes, range(200, 400, 500), range(200, 600, 700)).p50;
    expect(p50(30)).toBeGreaterThan(p50(5));
  });
  it('does not hold back a promise that has fallen by more than a third', () => {
    expect(toldAfter(1, range(300, 400, 500), range(150, 390, 480)).p10).toBe(150);
    expect(toldAfter(1, range(300, 400, 500), range(280, 390, 480)).p10).toBeGreaterThan(280);
    // A promise that rises is believed slowly.
    expect(toldAfter(1, range(150, 400, 500), range(300, 400, 500)).p10).toBeLessThan(170);
  });
  it('is as new near the end, for another question, and after an hour', () => {
    const now = range(20, 30, 40);
    expect(toldAfter(5, range(60, 70, 80), now)).toEqual(now);
    expect(toldAfter(5, range(300, 400, 500), range(200, 600, 700), 'other')).toEqual(range(200, 600, 700));
    expect(toldAfter(61, range(300, 400, 500), range(200, 600, 700))).toEqual(range(200, 600, 700));
  });
});
