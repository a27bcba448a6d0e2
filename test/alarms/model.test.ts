import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { AlarmKind } from '#messages';
import { type Alarms, createAlarms, type Seen } from '../../agent/alarms/alarms.ts';
import type { Look } from '../../agent/alarms/slot.ts';
import { AlarmModel } from '../support/alarm-model.ts';

type Step =
  | { do: 'see'; look: Look | 'lost'; gapMs: number; times: number }
  | { do: 'acknowledge' | 'unshelve' }
  | { do: 'shelve'; forMs: number };

const step: fc.Arbitrary<Step> = fc.oneof(
  {
    weight: 6,
    arbitrary: fc.record({
      do: fc.constant('see' as const),
      look: fc.constantFrom<Look | 'lost'>('on', 'on', 'on', 'off', 'off', 'off', 'between', 'unknown', 'lost'),
      // The last is a sleep.
      gapMs: fc.constantFrom(2_000, 2_000, 11_000, 31_000, 59_000, 59_000, 3_600_000),
      times: fc.constantFrom(1, 1, 2, 3, 12),
    }),
  },
  { weight: 1, arbitrary: fc.constantFrom<Step>({ do: 'acknowledge' }, { do: 'unshelve' }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant('shelve' as const), forMs: fc.constantFrom(20_000, 90_000) }) },
);

function seenOf(kind: AlarmKind, look: Look | 'lost'): Seen {
  const lost = look === 'lost';
  const knowledge = lost ? 'lost' : 'known';
  return {
    sights: lost ? [] : [{ kind, station: 'shed', detail: '', look, values: {} }],
    stations: new Map([['shed', { readings: knowledge, projection: knowledge }]]),
  };
}

const toldOf = (alarms: Alarms): string => {
  const [slot] = alarms.list();
  if (slot === undefined) return '';
  const state = slot.stands
    ? slot.acknowledged
      ? 'acknowledged'
      : 'active'
    : slot.acknowledged
      ? 'normal'
      : 'cleared';
  return `${state}${slot.shelvedUntilAt === null ? '' : ' shelved'}`;
};

describe('one alarm, whatever is seen and answered', () => {
  it('is what its history says: raised, called, answered, over', () => {
    const reached = new Set<string>();
    let called = 0;
    fc.assert(
      fc.property(
        fc.constantFrom<AlarmKind>('ending', 'fault', 'quiet'),
        fc.array(step, { maxLength: 14 }),
        (kind, steps) => {
          let n = 0;
          const alarms = createAlarms(() => `a${++n}`, 0);
          const model = new AlarmModel(kind);
          let ms = 0;
          const see = (look: Look | 'lost') => {
            const turn = alarms.see(seenOf(kind, look), { at: ms, monoMs: ms });
            const calls = model.see(look, ms);
            expect(turn.called.length === 1).toBe(calls);
            if (calls) called++;
          };
          for (const one of steps) {
            const id = alarms.list()[0]?.id;
            if (one.do === 'see')
              for (let i = 0; i < one.times; i++) {
                ms += one.gapMs;
                see(one.look);
              }
            else if (id === undefined || id === null) continue;
            else if (one.do === 'acknowledge') {
              alarms.acknowledge(id);
              model.acknowledge();
            } else {
              const until = one.do === 'shelve' ? ms + one.forMs : null;
              if (until === null) alarms.unshelve(id);
              else alarms.shelve(id, until);
              model.shelve(until);
            }
            const told = toldOf(alarms);
            if (told !== model.told) throw new Error(`${told || 'nothing'} is told, not ${model.told || 'nothing'}`);
            reached.add(told);
          }
        },
      ),
      { numRuns: 10_000 },
    );
    // All states were gone through, and calls were made.
    expect([...reached].sort()).toEqual([
      '',
      'acknowledged',
      'acknowledged shelved',
      'active',
      'active shelved',
      'cleared',
      'cleared shelved',
      'normal shelved',
    ]);
    expect(called).toBeGreaterThan(3_000);
  });
});
