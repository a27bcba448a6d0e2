import { describe, expect, it } from 'vitest';
import { createWatch } from '../../agent/host/watch.ts';
import { handClock } from '../support/hand-clock.ts';

function stage() {
  const clock = handClock();
  const verdicts: string[] = [];
  let bytes: number | null = 50_000_000;
  const watch = createWatch({
    monoMs: () => clock.monoMs(),
    timers: clock,
    heartbeatLimitMs: 5000,
    rssLimitBytes: 256_000_000,
    heapLimitBytes: 100_000_000,
    measure: () => bytes,
    channelCount: () => 1,
    onVerdict: (failure, detail) => verdicts.push(`${failure}: ${detail}`),
  });
  return { clock, watch, verdicts, use: (now: number | null) => (bytes = now) };
}

describe('the watch over a process of adapters', () => {
  it('is content while a sign of life comes every few seconds', () => {
    const { clock, watch, verdicts } = stage();
    watch.started();
    for (let s = 0; s < 100; s++) {
      clock.advance(4000);
      watch.message();
    }
    expect(verdicts).toEqual([]);
  });

  it('names memory where it fell silent with its heap full', () => {
    const { clock, watch, verdicts, use } = stage();
    watch.started();
    use(140_000_000);
    clock.advance(10_000);
    expect(verdicts).toEqual(['adapterMemory: no sign of life for 5 s, with 140 MB in use']);
  });

  it('finds it silent after five seconds', () => {
    const { clock, watch, verdicts } = stage();
    watch.started();
    clock.advance(5000);
    expect(verdicts).toEqual([]);
    clock.advance(10_000);
    expect(verdicts).toHaveLength(1);
    expect(verdicts[0]).toBe('adapterSilent: no sign of life for 5 s');
  });

  it('gives it half a minute to start', () => {
    const { clock, verdicts } = stage();
    clock.advance(30_000);
    expect(verdicts).toEqual([]);
    clock.advance(1000);
    expect(verdicts[0]).toMatch(/adapterSilent/);
  });

  it('ends it over its memory, and lives without a measure where the system has none', () => {
    const { clock, watch, verdicts, use } = stage();
    watch.started();
    use(null);
    clock.advance(1000);
    expect(verdicts).toEqual([]);
    use(300_000_000);
    clock.advance(1000);
    expect(verdicts).toEqual(['adapterMemory: 300 MB of memory, at most 256 MB']);
  });

  it('lets through what piled up while the agent slept, but not a flood', () => {
    const { clock, watch, verdicts } = stage();
    for (let i = 0; i < 4000; i++) expect(watch.message()).toBe(true);
    for (let s = 0; s < 60; s++) {
      clock.advance(1000);
      watch.message();
    }
    let heard = 0;
    while (watch.message()) heard += 1;
    expect(heard).toBeGreaterThan(4990);
    expect(verdicts).toEqual(['adapterMessage: more than 120 messages a second']);
  });

  it('stops watching', () => {
    const { clock, watch, verdicts } = stage();
    watch.stop();
    clock.advance(100_000);
    expect(verdicts).toEqual([]);
  });
});
