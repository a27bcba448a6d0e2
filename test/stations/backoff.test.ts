import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { attemptsAllowed, countCrash, delayOn, type Failure, nextRung } from '../../agent/stations/index.ts';

const rungs = (failure: Failure, attempts: number): (string | undefined)[] =>
  Array.from({ length: attempts }, (_, i) => nextRung({ failure, attempt: i + 1, crashes: 0 })?.name);

describe('the ladder of tries', () => {
  it('climbs from at once to a try a minute, and stays there for ever', () => {
    expect(rungs('refused', 8)).toEqual([
      'at once',
      'in 2 s',
      'in 5 s',
      'in 15 s',
      'in 30 s',
      'in a minute',
      'in a minute',
      'in a minute',
    ]);
    expect(nextRung({ failure: 'ended', attempt: 1e6, crashes: 0 })?.name).toBe('in a minute');
  });

  it.each(['notFound', 'unplugged'] as const)('looks every few seconds for a port that is %s', failure => {
    expect(rungs(failure, 4)).toEqual(['at once', 'in 2 s', 'in 3 s', 'in 3 s']);
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 1e6 }),
        fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true }),
        (n, r) => {
          const rung = nextRung({ failure, attempt: n, crashes: 0 });
          expect(delayOn(rung!, r)).toBeLessThanOrEqual(3500);
        },
      ),
    );
  });

  it('never waits less than half a second nor more than 72 s', () => {
    const failures = fc.constantFrom<Failure>(
      'notFound',
      'inUse',
      'refused',
      'timeout',
      'ended',
      'failed',
      'adapterSilent',
    );
    const random = fc.double({ min: 0, max: 1, maxExcluded: true, noNaN: true });
    fc.assert(
      fc.property(failures, fc.integer({ min: 1, max: 1000 }), fc.integer({ min: 1, max: 4 }), random, (f, n, c, r) => {
        const delayMs = delayOn(nextRung({ failure: f, attempt: n, crashes: c })!, r);
        expect(delayMs).toBeGreaterThanOrEqual(500);
        expect(delayMs).toBeLessThanOrEqual(72_000);
      }),
    );
  });

  it('gives an adapter five ends in ten minutes, then leaves it to the owner', () => {
    const names = [1, 2, 3, 4, 5].map(
      crashes => nextRung({ failure: 'adapterCrashed', attempt: crashes, crashes })?.name,
    );
    expect(names).toEqual(['at once', 'in 2 s', 'in 5 s', 'in 15 s', undefined]);
    expect(attemptsAllowed('adapterCrashed')).toBe(5);
    expect(attemptsAllowed('refused')).toBe(0);
  });

  it('forgets an end of the adapter after ten minutes', () => {
    expect(countCrash([0, 500_000], 600_000)).toEqual([500_000, 600_000]);
  });

  it.each(['unsupported', 'adapterUnknown', 'adapterApi'] as const)('leaves %s to the owner at once', failure => {
    expect(nextRung({ failure, attempt: 1, crashes: 0 })).toBeNull();
  });
});
