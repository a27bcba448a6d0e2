import { describe, expect, it } from 'vitest';
import { createChance } from '#energy/estimates/chance';
import { afterOutcome, bucketOf, repairedRange, UNREPAIRED } from '#energy/estimates/range-repair';
import { createForetold, NOTHING_FORETOLD } from '#energy/estimates/runtime/foretold';

const HOUR = 3_600_000;

describe('a range that learns from what came true', () => {
  it('moves as the rule says, by hand: a miss on the early side widens it, most of all there', () => {
    const told = { p10: 50, p50: 60, p90: 80 };
    const missed = afterOutcome(UNREPAIRED, told, 40);
    expect(missed.early).toBeCloseTo(Math.exp(0.15 * 0.8 + 0.1 * 0.9), 12);
    expect(missed.late).toBeCloseTo(Math.exp(0.15 * 0.8 - 0.1 * 0.1), 12);
    const held = afterOutcome(UNREPAIRED, told, 61);
    expect(held.early).toBeCloseTo(Math.exp(-0.15 * 0.2 - 0.1 * 0.1), 12);
    expect(repairedRange(told, { early: 2, late: 0.5, outcomes: 9 })).toEqual({ p10: 40, p50: 60, p90: 70 });
  });

  it.each([
    ['halved', 0.5],
    ['right', 1],
    ['doubled', 2],
  ])('holds four times in five from the thirty-first outcome on when it began %s', (_, wrong) => {
    let held = 0;
    for (let repeat = 0; repeat < 200; repeat++) {
      const chance = createChance(1000 + repeat);
      let scale = UNREPAIRED;
      for (let i = 0; i < 60; i++) {
        const half = 1.2816 * wrong;
        const told = repairedRange({ p10: 100 - half, p50: 100, p90: 100 + half }, scale);
        const truth = 100 + chance.normal();
        if (i >= 30 && truth >= told.p10 && truth <= told.p90) held++;
        scale = afterOutcome(scale, told, truth);
      }
    }
    expect(held / 6000).toBeGreaterThan(0.78);
    expect(held / 6000).toBeLessThan(0.83);
  });

  it('comes no nearer than by its factor: what may last days is not told to end now', () => {
    const days = { p10: 24, p50: 160, p90: 200 };
    const early = (factor: number) => repairedRange(days, { early: factor, late: 1, outcomes: 9 }).p10;
    expect(early(3)).toBe(8);
    expect(early(0.5)).toBe(92);
    // And never back and forth: more misses always widen it.
    const factors = Array.from({ length: 47 }, (_, i) => 0.3 + i / 10);
    for (const [i, factor] of factors.entries()) if (i > 0) expect(early(factor)).toBeLessThan(early(factors[i - 1]!));
  });

  it('is corrected apart for near and far: one hour says nothing of ten', () => {
    expect(bucketOf(0.4)).not.toBe(bucketOf(1.5));
    expect(bucketOf(5)).not.toBe(bucketOf(12));
  });
});

describe('what was foretold', () => {
  const range = { p10: 50, p50: 60, p90: 70 };
  it('is scored when the percent is reached: of the last ranges so many came true', () => {
    const ledger = createForetold(NOTHING_FORETOLD);
    ledger.foretell(0, 60, 55, range);
    ledger.foretell(0, 60, 50, range);
    ledger.see(HOUR, 55);
    ledger.see(2 * HOUR, 50);
    expect(ledger.score()).toEqual({ held: 1, of: 2 });
  });
  it('is void when the station was charged meanwhile, or nothing was seen', () => {
    const ledger = createForetold(NOTHING_FORETOLD);
    ledger.foretell(0, 60, 55, range);
    ledger.see(HOUR / 2, 63);
    ledger.see(HOUR, 55);
    ledger.foretell(HOUR, 55, 50, range);
    ledger.drop();
    ledger.see(2 * HOUR, 50);
    expect(ledger.score()).toEqual({ held: 0, of: 0 });
  });
  it('corrects only ranges as far ahead as those it came from', () => {
    const ledger = createForetold(NOTHING_FORETOLD);
    for (let i = 0; i < 20; i++) {
      ledger.foretell(i * HOUR, 60, 55, range);
      ledger.see(i * HOUR + 90 * 60_000, 55);
      ledger.see(i * HOUR + 91 * 60_000, 57);
    }
    expect(ledger.repaired(range).p90).toBeGreaterThan(70);
    const far = { p10: 500, p50: 600, p90: 700 };
    expect(ledger.repaired(far)).toEqual(far);
  });
});
