import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { fullBucket, refill, take } from '#kit';

describe('a ceiling', () => {
  it('allows a burst, then as many a second as it says', () => {
    const ceiling = { perS: 50, burst: 50 };
    let bucket = fullBucket(ceiling, 0);
    let taken = 0;
    for (let atMs = 0; atMs < 10_000; atMs += 0.1) {
      const next = take(bucket, ceiling, atMs);
      if (next === null) continue;
      bucket = next;
      taken += 1;
    }
    expect(taken).toBeGreaterThanOrEqual(548);
    expect(taken).toBeLessThanOrEqual(550);
  });

  it('never allows more than burst + rate × time, whatever the moments', () => {
    const steps = fc.array(fc.nat(500), { maxLength: 200 });
    fc.assert(
      fc.property(steps, fc.integer({ min: 1, max: 50 }), (gapsMs, perS) => {
        const ceiling = { perS, burst: perS };
        let bucket = fullBucket(ceiling, 0);
        let atMs = 0;
        let taken = 0;
        for (const gapMs of gapsMs) {
          atMs += gapMs;
          const next = take(bucket, ceiling, atMs);
          if (next !== null) {
            bucket = next;
            taken += 1;
          }
        }
        expect(taken).toBeLessThanOrEqual(perS + (perS * atMs) / 1000 + 1e-6);
      }),
    );
  });

  it('refills nothing when the clock goes back', () => {
    const ceiling = { perS: 10, burst: 10 };
    expect(refill({ tokens: 3, atMs: 5000 }, ceiling, 1000).tokens).toBe(3);
  });
});
