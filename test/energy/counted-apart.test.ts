/** When a counter and what its watts add up to are said to disagree, and when they are not. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ComparedCount, countedApart } from '#energy/counted-apart';
import type { Quantities } from '#kit';
import { addCounted, type CountedAddition } from '../../agent/derive/counted.ts';
import { createCounters } from '../../agent/derive/counters.ts';
import { reading } from '../derive/readings.ts';
import { seededRandom } from '../support/kill-rounds.ts';
import { stationFacts } from '../support/station-facts.ts';

const START = Date.parse('2026-06-01T00:00:00Z');
const HOUR_MS = 3_600_000;
const FACTS = stationFacts({ intervalMs: 1000, zone: 'UTC', ratedWh: null, floorPct: 0, inputSource: 'unknown' });

interface Life {
  /** Watts at an instant, as they truly are. */
  watts(ms: number): number;
  /** The counter counts so much more than the truth. */
  gain?: number;
  stepWh: number;
  intervalMs: number;
  hours: number;
  seed?: number;
}

/** A station that draws, counts in steps and tells its watts rounded; the truth is summed each second. */
function lived({ watts, gain = 1, stepWh, intervalMs, hours, seed = 1 }: Life): ComparedCount {
  const random = seededRandom(seed);
  const counters = createCounters([], null);
  let [exactWh, next] = [random() * 100, 0];
  let total: CountedAddition | undefined;
  for (let ms = 0; ms <= hours * HOUR_MS; ms += 1000) {
    if (ms >= next) {
      next += intervalMs;
      const outputEnergyWh = Number((Math.floor(exactWh / stepWh) * stepWh).toFixed(1));
      const quantities: Quantities = { outputPowerW: Math.round(watts(ms)), outputEnergyWh };
      const { counted } = counters.add(reading({ at: START + ms, quantities }), null, { ...FACTS, intervalMs });
      for (const part of counted) total = total === undefined ? part : addCounted(total, part);
    }
    exactWh += (gain * watts(ms) * 1000) / HOUR_MS;
  }
  return total!;
}

/** A fridge of 80 W, 12 minutes of every 40, and a kettle now and then. */
const household = (random: () => number) => {
  const kettles = new Set(Array.from({ length: 5 }, () => Math.floor(random() * 24 * 20)));
  return (ms: number) => {
    const minute = Math.floor(ms / 60_000);
    return 11.4 + (minute % 40 < 12 ? 80.3 : 0) + (kettles.has(Math.floor(minute / 3)) ? 1180.4 : 0);
  };
};

describe('a counter beside what its watts add up to', () => {
  it('is said to disagree where it counts 6 % more, whatever its steps', () => {
    for (const stepWh of [0.1, 1, 10]) {
      const apart = countedApart([
        lived({ watts: household(seededRandom(3)), gain: 1.06, stepWh, intervalMs: 5000, hours: 24 }),
      ])!;
      expect(apart.beyond).toBe(true);
      expect(apart.differencePct).toBeCloseTo(6, 0);
    }
  });

  it('is left alone within its own steps: in hundreds it cannot tell 6 % of a small day', () => {
    const apart = countedApart([lived({ watts: () => 25, gain: 1.06, stepWh: 100, intervalMs: 5000, hours: 24 })])!;
    expect(apart.allowedWh).toBeGreaterThan(100);
    expect(apart.beyond).toBe(false);
  });

  it('agrees within what is known of both, whatever is plugged in and however often it speaks', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1e6 }),
        fc.constantFrom(0.1, 1, 100),
        fc.constantFrom(1000, 5000, 60_000),
        (seed, stepWh, intervalMs) => {
          const random = seededRandom(seed);
          const apart = countedApart([lived({ watts: household(random), stepWh, intervalMs, hours: 12, seed })])!;
          // One in twenty may be beyond by chance; none by much.
          expect(Math.abs(apart.differenceWh)).toBeLessThan(1.5 * apart.allowedWh);
        },
      ),
      { numRuns: 8 },
    );
  });

  it('is told over a season, in which its steps weigh little', () => {
    const days = Array.from({ length: 30 }, (_, i) =>
      lived({ watts: () => 25, gain: 1.06, stepWh: 100, intervalMs: 60_000, hours: 24, seed: i + 1 }),
    );
    const season = countedApart(days.map((day, i) => ({ ...day, stretches: i === 0 ? 1 : 0 })))!;
    expect(season.beyond).toBe(true);
  });

  it('is told where it stands still while hundreds of watt-hours pass, and not before', () => {
    const still = (hours: number) => lived({ watts: () => 300, gain: 0, stepWh: 1, intervalMs: 60_000, hours });
    expect(countedApart([still(0.1)])!.beyond).toBe(false);
    expect(countedApart([still(4)])!.beyond).toBe(true);
  });

  it('says nothing where nothing flowed while both spoke', () => {
    expect(countedApart([])).toBeNull();
    expect(countedApart([lived({ watts: () => 0, stepWh: 1, intervalMs: 1000, hours: 1 })])).toBeNull();
  });
});
