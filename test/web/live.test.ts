import { describe, expect, it } from 'vitest';
import { ageMs, freshness } from '../../web/state/freshness.ts';
import { agentNow, fold, type Live, may, NOTHING_YET } from '../../web/state/live.ts';
import { EVENING_AT, shedReading, shedStation, shedStatus } from '../support/honey-shed.ts';

const hello = (stations = [shedStation()]) =>
  ({
    type: 'hello',
    n: 1,
    protocol: 1,
    version: '0.1.0',
    demo: true,
    now: new Date(EVENING_AT).toISOString(),
    heartbeatMs: 5000,
    ackWindow: 10,
    display: { temperature: 'C', clock: '24' },
    stations,
  }) as const;
const start = (): Live => fold(NOTHING_YET, hello(), 1000);

describe('what the agent has told', () => {
  it('counts ages from the agent’s own measure, not from its wall clock', () => {
    const wrongClock = shedReading({ at: '1971-01-01T00:00:00.000Z' });
    const live = fold(start(), { type: 'reading', n: 2, ageMs: 700, reading: wrongClock }, 2000);
    expect(ageMs(live.stations[0]!, 5000)).toBe(3700);
  });

  it('holds no reading of a source that speaks only on change while the agent is not there', () => {
    const live = fold(
      fold(start(), { type: 'status', n: 2, status: shedStatus({ staleAfterMs: null }) }, 1000),
      { type: 'reading', n: 3, ageMs: 0, reading: shedReading() },
      1000,
    ).stations[0]!;
    expect(freshness(live, { phase: 'open' }, 5_000_000)).toBe('live');
    expect(freshness(live, { phase: 'connecting' }, 5_000_000)).toBe('stale');
    expect(freshness(live, { phase: 'lost', attempt: 1, retryAtMs: 0 }, 5_000_000)).toBe('stale');
  });

  it('knows the agent’s wall clock by what has passed since the hello', () => {
    expect(agentNow(start(), 61_000)).toBe(EVENING_AT + 60_000);
    expect(agentNow(NOTHING_YET, 0)).toBeNull();
  });

  it('may do what its session may and all that comes before it; nothing but look until it was told', () => {
    const told = (scope?: 'view' | 'mark' | 'change') => {
      const live = scope === undefined ? NOTHING_YET : fold(NOTHING_YET, { ...hello(), scope }, 1000);
      return [may(live, 'view'), may(live, 'mark'), may(live, 'change')];
    };
    expect(told()).toEqual([true, false, false]);
    expect(told('view')).toEqual([true, false, false]);
    expect(told('mark')).toEqual([true, true, false]);
    expect(told('change')).toEqual([true, true, true]);
  });

  it('keeps readings over a new hello, takes new stations in and lets old ones go', () => {
    const read = fold(start(), { type: 'reading', n: 2, ageMs: 0, reading: shedReading() }, 2000);
    const again = fold(read, hello([shedStation({ name: 'Renamed' }), shedStation({ id: 'attic' })]), 3000);
    expect(again.stations.map(s => [s.station.id, s.station.name, s.reading !== null])).toEqual([
      ['shed', 'Renamed', true],
      ['attic', 'Honey shed', false],
    ]);
    expect(fold(again, hello([]), 4000).stations).toEqual([]);
  });

  it('shows nothing of a station it was not told of', () => {
    const live = fold(start(), { type: 'status', n: 2, status: shedStatus({ station: 'stranger' }) }, 2000);
    expect(live.stations).toEqual(start().stations);
  });
});
