import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createStamper } from '../../agent/derive/stamp.ts';

const NOON = Date.parse('2026-06-01T12:00:00Z');

describe('the instant of a reading', () => {
  it('is the wall clock while that runs true', () => {
    const stamper = createStamper(null);
    expect(stamper.stamp(NOON, 0)).toEqual({ at: NOON, clock: 'synced' });
    expect(stamper.stamp(NOON + 1200, 1000)).toEqual({ at: NOON + 1200, clock: 'synced' });
  });

  it('does not jitter with the wall clock', () => {
    const stamper = createStamper(null);
    stamper.stamp(NOON, 0);
    expect(stamper.stamp(NOON + 1003, 1000)).toEqual({ at: NOON + 1000, clock: 'synced' });
    expect(stamper.stamp(NOON + 1998, 2000)).toEqual({ at: NOON + 2000, clock: 'synced' });
  });

  it('follows a clock set forward and says so', () => {
    const stamper = createStamper(null);
    stamper.stamp(NOON, 0);
    expect(stamper.stamp(NOON + 3_600_000, 1000)).toEqual({ at: NOON + 3_600_000, clock: 'stepped' });
    expect(stamper.stamp(NOON + 3_601_000, 2000).clock).toBe('synced');
  });

  it('carries on by the monotonic clock where the wall clock goes back', () => {
    const stamper = createStamper(null);
    stamper.stamp(NOON, 0);
    expect(stamper.stamp(NOON - 3_600_000, 1000)).toEqual({ at: NOON + 1000, clock: 'stepped' });
  });

  it('begins after the last row where the computer woke in the past', () => {
    const stamper = createStamper(NOON);
    const woke = Date.parse('1970-01-01T00:00:10Z');
    expect(stamper.stamp(woke, 0)).toEqual({ at: NOON + 1, clock: 'unknown' });
    expect(stamper.stamp(woke + 5000, 5000)).toEqual({ at: NOON + 5001, clock: 'unknown' });
  });

  it('takes the time of a page while its own is known to be wrong, and not otherwise', () => {
    const stamper = createStamper(NOON);
    stamper.stamp(10_000, 0);
    expect(stamper.correct(NOON + 7_200_000, 1000)).toBe(true);
    expect(stamper.stamp(12_000, 2000)).toEqual({ at: NOON + 7_201_000, clock: 'stepped' });
    expect(createStamper(NOON).correct(NOON + 7_200_000, 0)).toBe(false);
    const right = createStamper(NOON);
    right.stamp(NOON + 60_000, 0);
    expect(right.correct(NOON + 7_200_000, 1000)).toBe(false);
  });

  it('never goes back, whatever the wall clock does', () => {
    fc.assert(
      fc.property(
        fc.array(fc.tuple(fc.integer({ min: 0, max: 4_102_444_800_000 }), fc.integer({ min: 0, max: 60_000 })), {
          maxLength: 40,
        }),
        steps => {
          const stamper = createStamper(NOON);
          let mono = 0;
          let last = NOON;
          for (const [wall, ms] of steps) {
            mono += ms;
            const { at } = stamper.stamp(wall, mono);
            expect(at).toBeGreaterThanOrEqual(last);
            last = at;
          }
        },
      ),
    );
  });
});
