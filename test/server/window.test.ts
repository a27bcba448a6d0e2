import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { TokenBucket } from '../../agent/server/rate.ts';
import { SendWindow } from '../../agent/server/window.ts';

describe('the acknowledgement window', () => {
  it('numbers what goes at once and holds back what is over its size', () => {
    const window = new SendWindow<string>(2);
    expect([window.offer('a', 'a1'), window.offer('b', 'b1'), window.offer('a', 'a2')]).toEqual([1, 2, null]);
    expect(window.acknowledge(1)).toEqual([{ n: 3, frame: 'a2' }]);
  });

  it('keeps the newest of each key in the place the key took first', () => {
    const window = new SendWindow<string>(1);
    window.offer('x', 'x1');
    for (const frame of ['a1', 'b1', 'a2', 'b2', 'a3']) window.offer(frame[0]!, frame);
    expect(window.waiting).toBe(2);
    expect(window.acknowledge(1)).toEqual([{ n: 2, frame: 'a3' }]);
    expect(window.acknowledge(2)).toEqual([{ n: 3, frame: 'b2' }]);
  });

  it('tells an acknowledgement that says nothing new from one that cannot be', () => {
    const window = new SendWindow<string>(3);
    window.offer('a', 'a1');
    expect(window.acknowledge(2)).toBe('impossible');
    expect(window.acknowledge(1)).toEqual([]);
    expect(window.acknowledge(1)).toBe('stale');
    expect(window.acknowledge(0)).toBe('stale');
  });

  it('never has more than its size on the way, never repeats or reorders a key, and ends on the newest', () => {
    const step = fc.oneof(fc.constantFrom('a', 'b', 'c'), fc.constant('ack'));
    fc.assert(
      fc.property(fc.array(step, { maxLength: 200 }), fc.integer({ min: 1, max: 10 }), (steps, size) => {
        const window = new SendWindow<{ key: string; version: number }>(size);
        const newest: Record<string, number> = {};
        const shown: Record<string, number> = {};
        let sent = 0;
        let acknowledged = 0;
        const receive = (n: number, frame: { key: string; version: number }) => {
          expect(n).toBe(++sent);
          expect(frame.version).toBeGreaterThan(shown[frame.key] ?? 0);
          shown[frame.key] = frame.version;
        };
        const acknowledge = (n: number) => {
          const ready = window.acknowledge(n);
          if (typeof ready === 'string') return;
          acknowledged = n;
          for (const next of ready) receive(next.n, next.frame);
        };
        steps.forEach((what, version) => {
          if (what === 'ack') acknowledge(sent);
          else {
            newest[what] = version + 1;
            const frame = { key: what, version: version + 1 };
            const n = window.offer(what, frame);
            if (n !== null) receive(n, frame);
          }
          expect(sent - acknowledged).toBeLessThanOrEqual(size);
        });
        while (window.waiting > 0) acknowledge(sent);
        expect(shown).toEqual(newest);
      }),
    );
  });
});

describe('the allowance of a client', () => {
  it('lets a hundred go at once and then one every 600 ms', () => {
    const bucket = new TokenBucket(100, 60_000, 0);
    for (let i = 0; i < 100; i++) expect(bucket.take(0)).toBe(true);
    expect(bucket.take(599)).toBe(false);
    expect(bucket.take(600)).toBe(true);
    expect(bucket.take(600)).toBe(false);
  });

  it('never saves up more than its size', () => {
    const bucket = new TokenBucket(2, 1000, 0);
    expect([bucket.take(1e9), bucket.take(1e9), bucket.take(1e9)]).toEqual([true, true, false]);
  });
});
