import { describe, expect, it } from 'vitest';
import { type DecodedReading, isRejection, type Rejection, runTalk, type Talk } from '#kit';
import { handClock } from '../support/hand-clock.ts';

const bytes = (text: string): Uint8Array => Uint8Array.from(Buffer.from(text));
const reading = (inputPowerW: number): DecodedReading => ({
  quantities: { inputPowerW },
  states: {},
  quality: 'good',
  reasons: {},
});

function stage(talk: () => Talk, intervalMs = 1000) {
  const clock = handClock();
  const sent: { at: number; text: string; to: string }[] = [];
  const given: { at: number; answer: DecodedReading | Rejection }[] = [];
  let cleared = 0;
  const run = runTalk({
    timers: clock,
    monoMs: clock.monoMs,
    intervalMs,
    send: (message, to) => sent.push({ at: clock.monoMs(), text: Buffer.from(message).toString(), to }),
    read: from => sent.push({ at: clock.monoMs(), text: 'read', to: from }),
    give: answer => given.push({ at: clock.monoMs(), answer }),
    clear: () => {
      cleared += 1;
    },
    newTalk: talk,
  });
  clock.advance(0);
  return {
    clock,
    sent,
    given,
    run,
    clears: () => cleared,
    hear: (text: string, from = '') => run.frame(bytes(text), from),
  };
}

const ask = (text: string, accepts = (_frame: Uint8Array) => true) =>
  ({ step: 'ask', send: bytes(text), accepts, withinMs: 300 }) as const;

function* watts(): Talk {
  for (;;) {
    const answer = yield ask('watts?', frame => frame[0] !== 0x21);
    if ('frame' in answer) yield { step: 'give', answer: reading(Number(Buffer.from(answer.frame).toString())) };
    yield { step: 'rest' };
  }
}

describe('a talk', () => {
  it('asks once an interval, whatever the answers take', () => {
    const { clock, sent, hear, given } = stage(watts);
    for (let round = 0; round < 4; round++) {
      clock.advance(200);
      expect(hear(String(round))).toBe(true);
      clock.advance(800);
    }
    expect(sent.map(({ at }) => at)).toEqual([0, 1000, 2000, 3000, 4000]);
    expect(given.map(({ answer }) => !isRejection(answer) && answer.quantities.inputPowerW)).toEqual([0, 1, 2, 3]);
  });

  it('keeps the silence that a question asks for before it is sent', () => {
    const { clock, sent, hear } = stage(function* (): Talk {
      yield { ...ask('one?'), quietMs: 20 };
      yield { ...ask('two?'), quietMs: 20 };
      return 'done';
    });
    clock.advance(30);
    expect(hear('1')).toBe(true);
    expect(hear('early')).toBe(false);
    clock.advance(30);
    expect(sent.map(({ at, text }) => [at, text])).toEqual([
      [20, 'one?'],
      [50, 'two?'],
    ]);
  });

  it('counts a question without an answer, then asks again when the next reading is due', () => {
    const { clock, sent, given, clears } = stage(watts);
    clock.advance(1000);
    expect(given).toMatchObject([{ at: 300, answer: { rejected: 'unanswered' } }]);
    expect(clears()).toBe(1);
    expect(sent).toHaveLength(2);
  });

  it('never takes a late answer for the next one: what comes while nobody waits is told to be so', () => {
    const { clock, hear, given } = stage(watts);
    clock.advance(320);
    expect(hear('12')).toBe(false);
    clock.advance(30);
    expect(given).toHaveLength(1);
  });

  it('leaves a frame that answers another question to whoever else wants it', () => {
    const { hear, given } = stage(watts);
    expect(hear('!event')).toBe(false);
    expect(hear('7', 'elsewhere')).toBe(false);
    expect(hear('7')).toBe(true);
    expect(given).toMatchObject([{ answer: reading(7) }]);
  });

  it('does not try to catch up on the intervals that a slow station has cost', () => {
    const { clock, sent, hear } = stage(watts, 100);
    clock.advance(290);
    hear('1');
    clock.advance(0);
    hear('2');
    clock.advance(99);
    expect(sent.map(({ at }) => at)).toEqual([0, 290]);
    clock.advance(1);
    expect(sent.map(({ at }) => at)).toEqual([0, 290, 390]);
  });

  it('says why a station is none of its kind, and tries again later', () => {
    let talks = 0;
    const { clock, given } = stage(function* (): Talk {
      talks += 1;
      yield { step: 'read', from: 'level', withinMs: 100 };
      return 'no such block at 40000';
    });
    clock.advance(150);
    expect(given.map(({ answer }) => isRejection(answer) && answer.rejected)).toEqual(['unanswered', 'wrongProtocol']);
    clock.advance(5000);
    expect(talks).toBe(2);
  });

  it('counts what it throws and starts anew', () => {
    let talks = 0;
    const { clock, given } = stage(function* (): Talk {
      talks += 1;
      yield { step: 'give', answer: reading(1) };
      throw new RangeError('offset 12');
    });
    clock.advance(5000);
    expect(given).toMatchObject([
      { answer: reading(1) },
      { answer: { rejected: 'adapterError', detail: expect.stringContaining('offset 12') } },
      { answer: reading(1) },
      {},
    ]);
    expect(talks).toBe(2);
  });

  it('asks nothing more once it is ended', () => {
    const { clock, sent, run, hear } = stage(watts);
    run.end();
    expect(hear('5')).toBe(false);
    clock.advance(10_000);
    expect(sent).toHaveLength(1);
  });
});
