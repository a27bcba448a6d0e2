import { describe, expect, it } from 'vitest';
import { createResting, RELEASE_MS, restingOf } from '../../agent/commands/run/resting.ts';
import type { Resting } from '../../agent/stations/index.ts';
import { batch, freshFolder, openTestRecord, START_AT } from '../support/record.ts';

function stage() {
  const record = openTestRecord(freshFolder());
  const told: (Resting | 'taken up')[] = [];
  const clock = { now: START_AT, nowMs: () => clock.now };
  const resting = createResting({
    record,
    clock,
    supervisor: {
      rest(station, how) {
        if (station === 'shed') told.push(how);
        return station === 'shed';
      },
      retryNow: () => told.push('taken up') > 0,
    },
    keep: span => record.commit(batch([], { spans: [span] })),
  });
  return { record, resting, told, clock };
}

describe('letting a station go', () => {
  it('is kept with its reason, and holds over a restart for what is left of it', () => {
    const { record, resting, told, clock } = stage();
    resting.release('shed');
    expect(told).toEqual([{ forMs: RELEASE_MS }]);
    expect(record.spans('shed', START_AT, START_AT + 1)).toMatchObject([
      { reason: 'released', fromMs: START_AT, toMs: START_AT + RELEASE_MS },
    ]);
    clock.now += 60_000;
    expect(restingOf(record, 'shed', clock.now)).toEqual({ forMs: RELEASE_MS - 60_000 });
    expect(restingOf(record, 'shed', START_AT + RELEASE_MS)).toBeUndefined();
  });

  it('ends where it is taken up early', () => {
    const { record, resting, told, clock } = stage();
    resting.putAway('shed');
    clock.now += 3_600_000;
    expect(restingOf(record, 'shed', clock.now)).toEqual({ forMs: null });
    resting.takeUp('shed');
    expect(told.at(-1)).toBe('taken up');
    expect(restingOf(record, 'shed', clock.now)).toBeUndefined();
    expect(record.spans('shed', 0, clock.now)).toMatchObject([{ reason: 'stored', toMs: clock.now }]);
  });

  it('one way ends the other', () => {
    const { record, resting, clock } = stage();
    resting.putAway('shed');
    clock.now += 1000;
    resting.release('shed');
    expect(restingOf(record, 'shed', clock.now)).toEqual({ forMs: RELEASE_MS });
    clock.now += RELEASE_MS;
    expect(restingOf(record, 'shed', clock.now)).toBeUndefined();
  });

  it('is refused for a station without a link', () => {
    const { record, resting } = stage();
    expect(() => resting.release('barn')).toThrowError(expect.objectContaining({ code: 'REQUEST_INVALID' }));
    expect(restingOf(record, 'barn', START_AT)).toBeUndefined();
  });
});
