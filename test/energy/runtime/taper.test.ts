import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createChance } from '#energy/estimates/chance';
import { createChargeSessions } from '#energy/estimates/runtime/charge-sessions';
import { type ChargeSession, FIRST_PCT, seenTapers } from '#energy/estimates/runtime/seen-taper';
import { type ChargeSoFar, unknownTapers } from '#energy/estimates/runtime/taper';

const MINUTE = 60_000;
const nothingSeen: ChargeSoFar = { shares: [], restedMin: 0, usualMin: 2, besides: 0 };
const draws = <T>(n: number, draw: () => T) => Array.from({ length: n }, draw);
const mean = (x: readonly number[]) => x.reduce((a, b) => a + b, 0) / x.length;
const fallFrom = (onset: number) => (pct: number) =>
  Math.max(0.08, 1 - (0.92 * Math.max(0, pct - onset)) / (100 - onset));

describe('a source never seen to fill the station', () => {
  it('gives full power below 80 % and never rises on the way to full', () => {
    fc.assert(
      fc.property(fc.integer({ min: 1, max: 1000 }), fc.integer({ min: 60, max: 99 }), (seed, pct) => {
        const { share } = unknownTapers(createChance(seed), nothingSeen)();
        expect(share(80)).toBe(1);
        expect(share(pct + 1)).toBeLessThanOrEqual(share(pct));
        expect(share(100)).toBeGreaterThan(0);
      }),
      { numRuns: 50 },
    );
  });
  it('is known from how far its power has fallen by now: early and late falls part', () => {
    const shareAt96 = (onset: number) => {
      const shares = draws(13, () => 0).map((_, i) => ({ pct: 80 + i, share: fallFrom(onset)(80 + i) }));
      return mean(draws(100, unknownTapers(createChance(1), { ...nothingSeen, shares })).map(t => t.share(96)));
    };
    expect(shareAt96(84)).toBeLessThan(0.45);
    expect(shareAt96(84)).toBeCloseTo(fallFrom(84)(96), 1);
    expect(shareAt96(94)).toBeGreaterThan(0.6);
  });
  it('rests for some minutes at the top; the longer it has rested, the less is left', () => {
    const left = (restedMin: number) =>
      mean(draws(300, unknownTapers(createChance(2), { ...nothingSeen, restedMin })).map(t => t.restMin));
    expect(left(0)).toBeGreaterThan(5);
    expect(left(10)).toBeLessThan(left(0));
    expect(left(10)).toBeGreaterThan(0);
    // Longer than any rest foreseen: not for ever.
    expect(left(200)).toBeLessThan(60);
  });
  it('falls sooner where the whole input falls and a load takes its part of it', () => {
    const at = (besides: number) =>
      mean(draws(300, unknownTapers(createChance(3), { ...nothingSeen, besides })).map(t => t.share(99)));
    expect(at(0.2)).toBeLessThan(at(0));
  });
});

describe('a source seen to fill the station', () => {
  const session: ChargeSession = {
    shares: draws(100 - FIRST_PCT, () => 0).map((_, i) => fallFrom(90)(FIRST_PCT + i)),
  };
  const minutesOf = (factor: number, shownPct: number) => {
    const minutes = new Float64Array(101);
    for (let pct = 40; pct <= shownPct; pct++) minutes[pct] = 2 / (pct < 90 ? 1 : fallFrom(90)(pct) / factor);
    return { minutes, shownPct, usualMin: 2 };
  };

  it('goes as it went', () => {
    const at95 = mean(draws(200, seenTapers(createChance(1), [session], null)).map(t => 1 / t.share(95)));
    expect(at95 * fallFrom(90)(95)).toBeCloseTo(1, 1);
  });
  it('goes slower for the rest where its fall has been slower so far', () => {
    const at97 = (factor: number) =>
      mean(draws(200, seenTapers(createChance(1), [session], minutesOf(factor, 96))).map(t => 1 / t.share(97)));
    expect(at97(1.5)).toBeGreaterThan(1.15 * at97(1));
  });
  it('counts the minutes gone of the last percent, rest included', () => {
    const leftAfter = (gone: number) => {
      const now = minutesOf(1, 98);
      now.minutes[99] = gone;
      return mean(draws(200, seenTapers(createChance(1), [session], { ...now, shownPct: 99 })).map(t => t.leftMin!));
    };
    expect(leftAfter(0) - leftAfter(5)).toBeCloseTo(5, 0);
    expect(leftAfter(500)).toBeGreaterThan(0);
  });
});

describe('full charges as they went', () => {
  /** From 55 % up, two minutes a percent, ten from 95 % on; the last percent rests without taking anything. */
  const charged = (fromPct = 55, resting = false) => {
    const sessions = createChargeSessions({});
    let at = 0;
    for (let pct = fromPct; pct <= 100; pct++)
      for (let m = 0; m < (pct < 95 ? 2 : 10); m++, at += MINUTE) {
        const rests = resting && pct === 99;
        sessions.see(at, pct, rests ? null : 'wall', rests ? 0 : pct < 95 ? 300 : 60);
        if (pct === 100) break;
      }
    return sessions;
  };
  it('are kept per source, each percent against those before the fall', () => {
    const [session] = charged().of('wall');
    expect(session!.shares[80 - FIRST_PCT]).toBe(1);
    expect(session!.shares[97 - FIRST_PCT]).toBeCloseTo(0.2, 9);
    expect(charged().of('generator')).toEqual([]);
  });
  it('count also where nothing is taken during the rest at the top', () => {
    expect(charged(55, true).of('wall')).toHaveLength(1);
  });
  it('do not count where they began too late to tell what is usual', () => {
    expect(charged(80).of('wall')).toHaveLength(0);
  });
  it('are told of while they run: whole percents in minutes, all of them in mean power', () => {
    const sessions = createChargeSessions({});
    for (let m = 0; m < 60; m++) sessions.see(m * MINUTE, 55 + Math.floor(m / 3), 'wall', 200);
    const running = sessions.running()!;
    expect(running).toMatchObject({ shownPct: 74, usualMin: 3 });
    expect(running.minutes[55]).toBe(0);
    expect(running.minutes[56]).toBe(3);
    expect(sessions.powers()[0]).toEqual({ pct: 55, powerW: 200 });
    sessions.see(61 * MINUTE, 74, null, 0);
    expect(sessions.powers()).toEqual([]);
  });
});
