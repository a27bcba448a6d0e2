import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { chancesOf } from '#energy/estimates/outlast/chances';
import { likelyLoad } from '#energy/estimates/outlast/likely-load';
import { createSteadyDots, toldAlike } from '#energy/estimates/outlast/steady-dots';
import { cycling, household, NOW_MINUTE, steady } from '../../support/household.ts';

const MINUTE = 60_000;
const NEVER = Number.POSITIVE_INFINITY;
const noise = (minute: number) => (minute % 3) / 2;

describe('dots that hold still', () => {
  it('are told as found at first, and when something else is asked or much time went by', () => {
    const steadyDots = createSteadyDots();
    expect(steadyDots.of(0, 'a', [400, 500, NEVER])).toEqual([400, 500, NEVER]);
    expect(steadyDots.of(30_000, 'b', [300, 350, 360])).toEqual([300, 350, 360]);
    expect(steadyDots.of(120 * MINUTE, 'a', [300, 350, 360])).toEqual([300, 350, 360]);
  });

  it('go with the clock where nothing changed: the moment stands', () => {
    const steadyDots = createSteadyDots();
    steadyDots.of(0, 'a', [400, 500]);
    const [first, second] = steadyDots.of(10 * MINUTE, 'a', [390, 490]);
    expect(first).toBeCloseTo(390, 9);
    expect(second).toBeCloseTo(490, 9);
  });

  it('move a small part of the way from one answer to the next, all of it in the end', () => {
    const steadyDots = createSteadyDots();
    steadyDots.of(0, 'a', [600]);
    const moments = Array.from({ length: 600 }, (_, i) => {
      const at = (i + 1) * 30_000;
      // Found from now on: the end an hour earlier than it was told first.
      return steadyDots.of(at, 'a', [540 - at / MINUTE])[0]! + at / MINUTE;
    });
    expect(600 - moments[0]!).toBeLessThan(1);
    expect(moments.at(-1)! - 540).toBeLessThan(1);
    for (let i = 1; i < moments.length; i++) expect(moments[i]!).toBeLessThanOrEqual(moments[i - 1]! + 1e-9);
  });

  it('come from never, and go there, without a leap', () => {
    const steadyDots = createSteadyDots();
    steadyDots.of(0, 'a', [NEVER]);
    expect(steadyDots.of(30_000, 'a', [1500])[0]).toBe(NEVER);
    let dot = 0;
    for (let i = 2; i < 800; i++) dot = steadyDots.of(i * 30_000, 'a', [1500 - i / 2])[0]!;
    expect(dot).toBeCloseTo(1100, -1);
    for (let i = 800; i < 2000; i++) dot = steadyDots.of(i * 30_000, 'a', [NEVER])[0]!;
    expect(dot).toBe(NEVER);
  });

  it('hold nothing back that is near', () => {
    const steadyDots = createSteadyDots();
    steadyDots.of(0, 'a', [60]);
    expect(steadyDots.of(30_000, 'a', [40])).toEqual([40]);
  });

  it('keep the number of chances through answers that waver about a target', () => {
    const steadyDots = createSteadyDots();
    const raw = (shift: number) => Array.from({ length: 20 }, (_, i) => 400 + 20 * i + shift);
    const chances = new Set<number>();
    for (let i = 0; i < 120; i++) {
      const gone = i / 2;
      const dots = steadyDots.of(i * 30_000, 'a', raw((i % 2 === 0 ? 25 : -25) - gone));
      if (i > 20) chances.add(chancesOf(dots, 605 - gone));
    }
    expect(chances.size).toBeLessThanOrEqual(2);
  });

  it('never cost a chance where a supposition brings more', () => {
    const minutes = fc.oneof(fc.constant(NEVER), fc.double({ min: 1, max: 5000, noNaN: true }));
    const rising = fc.array(minutes, { minLength: 20, maxLength: 20 }).map(all => all.sort((a, b) => a - b));
    fc.assert(
      fc.property(rising, rising, fc.double({ min: 0, max: 600, noNaN: true }), minutes, (raw, told, more, target) => {
        const found = toldAlike(raw, told)(raw.map(m => m + more));
        expect(chancesOf(found, target)).toBeGreaterThanOrEqual(chancesOf(told, target));
      }),
    );
  });
});

describe('what is likely to be used until then', () => {
  it('is the night that lies ahead and not the day that was', () => {
    // 200 W for eight hours of each day, the last time ten hours ago; 30 W all along.
    const day = (m: number) => (((m - 2880 + 1080) % 1440) + 1440) % 1440 < 480;
    const past = household(2880, [steady(30), m => (day(m) ? 200 : 0)], noise);
    const night = likelyLoad(past, [], false, NOW_MINUTE, 240)!;
    const mean = past.outputW.slice(1440, 2880).reduce((sum, w) => sum + w, 0) / 1440;
    expect(mean).toBeGreaterThan(90);
    expect(night.middleW).toBeLessThan(50);
    expect(night.lowW).toBeLessThanOrEqual(night.middleW);
    expect(night.middleW).toBeLessThanOrEqual(night.highW);
  });

  it('is the mean of what cycles, and holds what is rare in its time', () => {
    const past = household(2880, [steady(20), cycling(90, 15, 45)], noise);
    const plain = likelyLoad(past, [], false, NOW_MINUTE, 480)!;
    expect(plain.middleW).toBeGreaterThan(45);
    expect(plain.middleW).toBeLessThan(56);
    const rare = [{ powerW: 450, runMin: 20, everyMin: 240, sinceMin: 0 }];
    expect(likelyLoad(past, rare, false, NOW_MINUTE, 480)!.middleW - plain.middleW).toBeGreaterThan(15);
  });
});
