import { describe, expect, it } from 'vitest';
import { type Effect, type Input, type Phase, START, type State, step } from '../../agent/stations/lifecycle.ts';

const MIDDLE = 0.5;

interface Line {
  /** Monotonic ms. */
  at: number;
  input: Input;
  phase: Phase;
  failure?: string;
  effects?: readonly Effect['type'][];
  wakeInMs?: number;
}

/** Walks the machine down a table and compares each line. */
function walk(table: readonly Line[]): State {
  let state = START.state;
  for (const line of table) {
    const next = step(state, line.input, line.at, MIDDLE);
    const where = `at ${line.at}: ${line.input.type}`;
    expect(next.state.phase, where).toBe(line.phase);
    expect(next.state.failure, where).toBe(line.failure);
    if (line.effects !== undefined) {
      expect(
        next.effects.map(effect => effect.type),
        where,
      ).toEqual(line.effects);
    }
    if (line.wakeInMs !== undefined) {
      expect(next.effects, where).toContainEqual({ type: 'wake', inMs: line.wakeInMs });
    }
    state = next.state;
  }
  return state;
}

const opened: Input = { type: 'linkOpened' };
const ready: Input = { type: 'adapterReady', intervalMs: 1000, onChangeOnly: false };
const reading: Input = { type: 'reading' };
const woke: Input = { type: 'woke' };
const garbage: Input = { type: 'garbage', detail: 'xx' };
const retryNow: Input = { type: 'retryNow' };
const closed = (failure: 'unplugged' | 'refused' | 'notFound'): Input => ({ type: 'linkClosed', failure, detail: 'd' });
const crashed: Input = { type: 'adapterEnded', failure: 'adapterCrashed', detail: 'boom' };

const LIVE: readonly Line[] = [
  { at: 0, input: opened, phase: 'waiting', effects: ['tell'] },
  { at: 10, input: ready, phase: 'waiting', effects: ['tell'] },
  { at: 1000, input: reading, phase: 'live', effects: ['wake', 'tell'], wakeInMs: 5000 },
];

describe('a station', () => {
  it('starts by opening its link', () => {
    expect(START.state.phase).toBe('connecting');
    expect(START.effects).toContainEqual({ type: 'open', alone: false });
  });

  it('is waiting once open, live with its first reading, stale after max(5 s, 3 × interval), live again', () => {
    walk([
      ...LIVE,
      { at: 2000, input: reading, phase: 'live', effects: [] },
      { at: 6000, input: woke, phase: 'live', effects: ['wake'], wakeInMs: 1000 },
      { at: 7000, input: woke, phase: 'stale', effects: ['tell'] },
      { at: 9000, input: reading, phase: 'live', effects: ['wake', 'tell'] },
    ]);
  });

  it('takes three intervals of a slow source before it is stale', () => {
    walk([
      { at: 0, input: opened, phase: 'waiting' },
      { at: 0, input: { ...ready, intervalMs: 20_000 }, phase: 'waiting' },
      { at: 0, input: reading, phase: 'live', wakeInMs: 60_000 },
      { at: 59_999, input: woke, phase: 'live' },
      { at: 60_000, input: woke, phase: 'stale' },
    ]);
  });

  it('never calls a source stale that speaks only on change', () => {
    walk([
      { at: 0, input: opened, phase: 'waiting' },
      { at: 0, input: { ...ready, onChangeOnly: true }, phase: 'waiting' },
      { at: 0, input: reading, phase: 'live', effects: ['tell'] },
      { at: 1e9, input: woke, phase: 'live', effects: [] },
    ]);
  });

  it('learns when it grows stale even if the adapter says so after the first reading', () => {
    walk([
      { at: 0, input: opened, phase: 'waiting' },
      { at: 0, input: reading, phase: 'live' },
      { at: 100, input: ready, phase: 'live', wakeInMs: 4900, effects: ['wake', 'tell'] },
    ]);
  });

  it('goes from unplugged to retrying to live, and forgets its failures with a reading', () => {
    const state = walk([
      ...LIVE,
      {
        at: 2000,
        input: closed('unplugged'),
        phase: 'retrying',
        failure: 'unplugged',
        effects: ['drop', 'wake', 'tell'],
      },
      { at: 2750, input: woke, phase: 'connecting', failure: 'unplugged', effects: ['sleep', 'open', 'tell'] },
      { at: 2760, input: closed('notFound'), phase: 'retrying', failure: 'notFound', wakeInMs: 2000 },
      { at: 4760, input: woke, phase: 'connecting', failure: 'notFound' },
      { at: 4770, input: closed('notFound'), phase: 'retrying', failure: 'notFound', wakeInMs: 3000 },
      { at: 7770, input: woke, phase: 'connecting', failure: 'notFound' },
      { at: 7780, input: opened, phase: 'waiting', failure: 'notFound' },
      { at: 8000, input: reading, phase: 'live' },
    ]);
    expect(state.attempt).toBe(0);
    expect(state.detail).toBeUndefined();
  });

  it('counts its tries and says when the next one is due', () => {
    const state = walk([
      { at: 0, input: closed('refused'), phase: 'retrying', failure: 'refused', wakeInMs: 750 },
      { at: 750, input: woke, phase: 'connecting', failure: 'refused' },
      { at: 800, input: closed('refused'), phase: 'retrying', failure: 'refused', wakeInMs: 2000 },
    ]);
    expect(state).toMatchObject({ attempt: 2, attemptsAllowed: 0, tryAtMs: 2800 });
  });

  it('tries at once when the owner asks, and only then', () => {
    walk([
      { at: 0, input: retryNow, phase: 'connecting', effects: [] },
      { at: 0, input: closed('refused'), phase: 'retrying', failure: 'refused' },
      { at: 10, input: retryNow, phase: 'connecting', failure: 'refused', effects: ['sleep', 'open', 'tell'] },
    ]);
  });

  it('hears the end of a session once', () => {
    walk([
      ...LIVE,
      { at: 2000, input: closed('unplugged'), phase: 'retrying', failure: 'unplugged' },
      { at: 2001, input: crashed, phase: 'retrying', failure: 'unplugged', effects: [] },
      { at: 2002, input: reading, phase: 'retrying', failure: 'unplugged', effects: [] },
      { at: 2003, input: garbage, phase: 'retrying', failure: 'unplugged', effects: [] },
    ]);
  });
});

describe('noise', () => {
  it('for more than 3 s without a reading is an unreadable signal', () => {
    walk([
      ...LIVE,
      { at: 2000, input: garbage, phase: 'live' },
      { at: 5000, input: garbage, phase: 'live' },
      { at: 5001, input: garbage, phase: 'stale', failure: 'unreadable', effects: ['tell'] },
      { at: 5300, input: garbage, phase: 'stale', failure: 'unreadable', effects: [] },
      { at: 6000, input: reading, phase: 'live' },
    ]);
  });

  it('is unreadable while waiting for the first reading too', () => {
    walk([
      { at: 0, input: opened, phase: 'waiting' },
      { at: 0, input: garbage, phase: 'waiting' },
      { at: 3001, input: garbage, phase: 'waiting', failure: 'unreadable' },
    ]);
  });

  it('between good readings changes nothing', () => {
    walk([
      ...LIVE,
      { at: 2000, input: garbage, phase: 'live' },
      { at: 4000, input: reading, phase: 'live' },
      { at: 5500, input: garbage, phase: 'live' },
      { at: 8000, input: garbage, phase: 'live' },
    ]);
  });
});

describe('an adapter that ends', () => {
  it('five times in ten minutes is parked until the owner acts', () => {
    let state = START.state;
    const alone: boolean[] = [];
    for (let i = 0; i < 5; i++) {
      const ended = step(state, crashed, i * 60_000, MIDDLE);
      state = ended.state;
      if (state.phase === 'parked') break;
      const again = step(state, woke, i * 60_000 + 30_000, MIDDLE);
      alone.push(...again.effects.flatMap(effect => (effect.type === 'open' ? [effect.alone] : [])));
      state = step(
        step(again.state, opened, i * 60_000 + 30_001, MIDDLE).state,
        reading,
        i * 60_000 + 30_002,
        MIDDLE,
      ).state;
    }
    expect(state).toMatchObject({ phase: 'parked', attempt: 5, attemptsAllowed: 5, tryAtMs: null });
    // From the second end on it no longer shares its process with other stations.
    expect(alone).toEqual([false, true, true, true]);
    expect(step(state, woke, 1e9, MIDDLE).state.phase).toBe('parked');
    const revived = step(state, retryNow, 1e9, MIDDLE);
    expect(revived.state).toMatchObject({ phase: 'connecting', attempt: 0, crashesAtMs: [] });
    expect(revived.effects).toContainEqual({ type: 'open', alone: false });
  });

  it('now and then, more than ten minutes apart, is started again each time', () => {
    let state = START.state;
    for (let i = 0; i < 20; i++) {
      state = step(state, crashed, i * 601_000, MIDDLE).state;
      expect(state).toMatchObject({ phase: 'retrying', attempt: 1 });
      state = step(state, woke, i * 601_000 + 1000, MIDDLE).state;
    }
  });
});

describe('a station that the owner lets go', () => {
  const release: Input = { type: 'release', forMs: 600_000 };
  const putAway: Input = { type: 'putAway' };

  it('for ten minutes is taken up again by itself, and whatever its old link says in between is past', () => {
    walk([
      ...LIVE,
      { at: 2000, input: release, phase: 'released', effects: ['drop', 'wake', 'tell'], wakeInMs: 600_000 },
      { at: 2001, input: closed('unplugged'), phase: 'released', effects: [] },
      { at: 2002, input: reading, phase: 'released', effects: [] },
      { at: 602_000, input: woke, phase: 'connecting', effects: ['sleep', 'open', 'tell'] },
    ]);
  });

  it('is taken up at once where the owner says so', () => {
    walk([
      ...LIVE,
      { at: 2000, input: release, phase: 'released' },
      { at: 9000, input: retryNow, phase: 'connecting', effects: ['sleep', 'open', 'tell'] },
    ]);
  });

  it('is not opened, looked for or woken while it is put away', () => {
    const away = walk([
      ...LIVE,
      { at: 2000, input: closed('unplugged'), phase: 'retrying', failure: 'unplugged' },
      { at: 2100, input: putAway, phase: 'away', effects: ['drop', 'sleep', 'tell'] },
      { at: 90_000, input: woke, phase: 'away', effects: [] },
    ]);
    expect(away.tryAtMs).toBeNull();
    expect(step(away, retryNow, 1e9, MIDDLE).state.phase).toBe('connecting');
  });
});
