import { describe, expect, it } from 'vitest';
import {
  type Adapter,
  API_VERSION,
  type Capture,
  createDelimiterFramer,
  createWholeFramer,
  type DecodedReading,
  type Rejection,
  type Talk,
} from '#kit';
import { createHandTime } from '../../agent/host/hand-time.ts';
import { type PlayStep, playCapture } from '../../agent/host/play.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';

const bytes = (text: string) => new TextEncoder().encode(text);
const heard = (...chunks: [atMs: number, text: string][]): Capture => ({
  name: 'test',
  chunks: chunks.map(([atMs, text]) => ({ atMs, way: 'in', place: '', bytes: bytes(text) })),
});
function play(adapter: Adapter, capture: Capture) {
  const steps: PlayStep[] = [];
  const end = playCapture(adapter, capture, step => steps.push(step));
  return { steps, end, kinds: steps.map(({ step }) => step) };
}

describe('a capture of a stream', () => {
  it('gives each frame, what decode said of it and the reading, at the times of the capture', () => {
    const { steps, end } = play(
      lines,
      heard([0, '{"inputPowerW":10,"outputPo'], [40, 'werW":4,"stateOfChargePct":50}\n'], [1000, 'noise\n']),
    );
    expect(steps.map(({ atMs, step }) => [atMs, step])).toEqual([
      [40, 'frame'],
      [40, 'decoded'],
      [40, 'reading'],
      [1000, 'frame'],
      [1000, 'decoded'],
      [1000, 'rejected'],
    ]);
    expect(steps[4]).toMatchObject({ answer: { rejected: 'notJson', detail: 'noise' } });
    expect(steps[5]).toMatchObject({ counts: { notJson: 1 } });
    expect(end).toEqual({ readings: 1, rejected: 1, unheard: 0 });
  });

  it('counts what is left at its end, and a flood as the agent would', () => {
    expect(play(lines, heard([0, '{"inputPo'])).steps).toMatchObject([{ step: 'unframed', cause: 'incomplete' }, {}]);
    const flood = heard([0, '{"inputPowerW":1}\n'.repeat(120)]);
    expect(play(lines, flood).end).toEqual({ readings: 50, rejected: 70, unheard: 0 });
  });

  it('of a hundred thousand chunks takes no time to speak of', () => {
    const many = Array.from({ length: 100_000 }, (_, i): [number, string] => [i * 100, '{"inputPowerW":1}\n']);
    expect(play(lines, heard(...many)).end.readings).toBe(100_000);
  });
});

/** Asks for the level, then for the power; a byte each. */
const asking: Adapter = {
  manifest: {
    id: 'asking',
    title: 'Asking',
    version: '1',
    apiVersion: API_VERSION,
    transports: ['serial'],
    gives: ['stateOfChargePct', 'inputPowerW'],
    intervalMs: 1000,
    maxFrameBytes: 16,
    maxReadingsPerS: 10,
  },
  open: () => ({
    createFramer: () => createDelimiterFramer({ maxFrameBytes: 16 }),
    decode: () => ({ rejected: 'unexpected', detail: 'nobody asked' }),
    *talk(): Talk {
      for (;;) {
        for (const [question, gives] of [
          ['L', 'stateOfChargePct'],
          ['P', 'inputPowerW'],
        ] as const) {
          const answer = yield { step: 'ask', send: bytes(question), accepts: () => true, withinMs: 500 };
          if ('frame' in answer) yield { step: 'give', answer: reading(gives, answer.frame[0] ?? 0) };
        }
        yield { step: 'rest' };
      }
    },
  }),
};
const reading = (name: 'stateOfChargePct' | 'inputPowerW', value: number): DecodedReading | Rejection => ({
  quantities: { [name]: value },
  states: {},
  quality: 'good',
  reasons: {},
});
const exchange = (...chunks: [atMs: number, way: 'in' | 'out', text: string][]): Capture => ({
  name: 'test',
  chunks: chunks.map(([atMs, way, text]) => ({ atMs, way, place: '', bytes: bytes(text) })),
});

describe('a capture of questions and answers', () => {
  it('answers each question as the station did, with its delay, whatever the pace of the talk', () => {
    const { steps, end } = play(
      asking,
      exchange([0, 'out', 'L'], [70, 'in', '*\n'], [3000, 'out', 'P'], [3020, 'in', '!\n']),
    );
    expect(steps.map(({ atMs, step }) => [atMs, step]).slice(0, 6)).toEqual([
      [0, 'asked'],
      [70, 'frame'],
      [70, 'reading'],
      [70, 'asked'],
      [90, 'frame'],
      [90, 'reading'],
    ]);
    expect(end).toMatchObject({ readings: 2, unheard: 0 });
  });

  it('says which questions it does not hold, and what was never reached', () => {
    const { steps, end } = play(asking, exchange([0, 'out', 'X'], [10, 'in', 'x\n']));
    expect(steps[0]).toMatchObject({ step: 'asked', known: false });
    expect(steps.find(({ step }) => step === 'rejected')).toMatchObject({ counts: { unanswered: 1 } });
    expect(end).toMatchObject({ readings: 0, unheard: 1 });
  });

  it('gives what came before the first question as unasked', () => {
    const { end, steps } = play(asking, exchange([5, 'in', 'boot\n'], [100, 'out', 'L'], [110, 'in', '*\n']));
    expect(steps.some(s => s.step === 'asked' && s.known)).toBe(true);
    expect(end.unheard).toBe(0);
  });
});

it('a capture of a Bluetooth station made without an adapter names characteristics by UUID', () => {
  const level = { service: '180f', uuid: '2a19', use: ['notify'] as const };
  const adapter: Adapter = {
    manifest: {
      ...asking.manifest,
      transports: ['ble'],
      ble: { find: { services: ['180f'] }, characteristics: { level } },
    },
    open: () => ({
      createFramer: () => createWholeFramer({ maxFrameBytes: 16 }),
      decode: (frame, from) => (from === 'level' ? reading('stateOfChargePct', frame[0] ?? 0) : decodeNothing),
    }),
  };
  const chunk = { atMs: 0, way: 'in' as const, place: '2a19', bytes: Uint8Array.of(42) };
  const { steps } = play(adapter, { name: 'test', chunks: [chunk, { ...chunk, place: 'beef' }] });
  expect(steps).toMatchObject([
    { step: 'frame', from: 'level' },
    { step: 'decoded' },
    { step: 'reading', reading: { quantities: { stateOfChargePct: 42 } } },
  ]);
});
const decodeNothing: Rejection = { rejected: 'unexpected', detail: '' };

it('hand-moved time fires timers by their moments, those of one moment in their order, and not the cancelled', () => {
  const time = createHandTime();
  const fired: string[] = [];
  time.after(20, () => fired.push(`b ${time.nowMs()}`));
  time.after(10, () => {
    fired.push(`a ${time.nowMs()}`);
    time.after(10, () => fired.push(`c ${time.nowMs()}`));
  });
  time.after(15, () => fired.push('never'))();
  while (time.next());
  expect(fired).toEqual(['a 10', 'b 20', 'c 20']);
});
