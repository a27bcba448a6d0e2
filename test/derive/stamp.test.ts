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

  describe('after a clock that was ahead is put right', () => {
    const AHEAD_MS = 7_200_000;
    /** Begins two hours ahead and is put right a minute later; the answer lives on to so long after the start. */
    const lived = () => {
      const stamper = createStamper(null);
      let monoMs = 0;
      const second = () => stamper.stamp(NOON + monoMs + (monoMs < 60_000 ? AHEAD_MS : 0), monoMs);
      const until = (toMs: number) => {
        let stamp = second();
        while (monoMs < toMs) {
          monoMs += 1000;
          stamp = second();
        }
        return { ...stamp, aheadMs: stamp.at - (NOON + monoMs) };
      };
      return { stamper, until };
    };

    it('first carries on, then runs at half the pace until the two clocks meet', () => {
      const { until } = lived();
      expect(until(60_000)).toMatchObject({ aheadMs: AHEAD_MS, clock: 'stepped' });
      expect(until(1_859_000).aheadMs).toBe(AHEAD_MS);
      expect(until(1_859_000 + 3_600_000)).toMatchObject({ aheadMs: AHEAD_MS - 1_800_000, clock: 'stepped' });
      expect(until(1_860_000 + 2 * AHEAD_MS)).toMatchObject({ aheadMs: 0, clock: 'synced' });
    });

    it('does so at once where a page’s clock says the same, also in a run that began behind the record', () => {
      const stamper = createStamper(NOON + AHEAD_MS);
      stamper.stamp(NOON, 0);
      expect(stamper.correct(NOON + 1000, 1000)).toBe(false);
      expect(stamper.stamp(NOON + 2000, 2000)).toEqual({ at: NOON + AHEAD_MS + 1001, clock: 'stepped' });
      const doubted = createStamper(NOON + AHEAD_MS);
      doubted.stamp(NOON, 0);
      expect(doubted.correct(NOON + 3_600_000, 1000)).toBe(false);
      expect(doubted.stamp(NOON + 2000, 2000)).toEqual({ at: NOON + AHEAD_MS + 2001, clock: 'unknown' });
    });

    it('follows it forward where it was put back for a while only', () => {
      const stamper = createStamper(null);
      stamper.stamp(NOON, 0);
      expect(stamper.stamp(NOON - 3_600_000 + 1000, 1000).at).toBe(NOON + 1000);
      expect(stamper.stamp(NOON - 3_600_000 + 60_000, 60_000).at).toBe(NOON + 60_000);
      expect(stamper.stamp(NOON + 61_000, 61_000)).toEqual({ at: NOON + 61_000, clock: 'synced' });
    });

    it('carries on where it is further ahead than any zone', () => {
      const stamper = createStamper(null);
      const year = 365 * 86_400_000;
      stamper.stamp(NOON + year, 0);
      stamper.stamp(NOON + 1000, 1000);
      expect(stamper.stamp(NOON + 3_600_000, 3_600_000)).toEqual({ at: NOON + year + 3_600_000, clock: 'stepped' });
    });
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
