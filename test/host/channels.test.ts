import { describe, expect, it } from 'vitest';
import { type Adapter, type DecodedReading, STREAM, type Talk } from '#kit';
import { openChannel } from '../../agent/host/channels.ts';
import type { RejectionCounts } from '../../agent/host/contract.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';
import { handClock } from '../support/hand-clock.ts';

function stage(adapter: Adapter = lines) {
  const clock = handClock();
  const readings: DecodedReading[] = [];
  const sent: { place: number; bytes: number[] }[] = [];
  const asked: number[] = [];
  const rejected: { at: number; counts: RejectionCounts; detail: string }[] = [];
  const channel = openChannel(1, adapter, {
    monoMs: () => clock.monoMs(),
    timers: clock,
    output: {
      reading: (_channel, reading) => readings.push(reading),
      rejected: (_channel, counts, detail) => rejected.push({ at: clock.monoMs(), counts, detail }),
      send: (_channel, place, message) => sent.push({ place, bytes: [...message] }),
      read: (_channel, place) => asked.push(place),
    },
  });
  const say = (text: string, place = 0) => channel.feed(Buffer.from(text), place);
  return { clock, readings, rejected, sent, asked, channel, say };
}
const GOOD = '{"solarPowerW":120,"dcOutputPowerW":3,"stateOfChargePct":50}\n';

/** The lines adapter with another decode. */
const decoding = (decode: () => unknown): Adapter => ({
  manifest: lines.manifest,
  open: () => ({ ...lines.open(), decode: decode as () => DecodedReading }),
});

describe('a channel of an adapter', () => {
  it('gives complete readings', () => {
    const { say, readings } = stage();
    say(GOOD);
    expect(readings[0]?.quantities).toMatchObject({ inputPowerW: 120, outputPowerW: 3 });
  });

  it('tells the first rejection at once and a storm of them at most four times a second', () => {
    const { clock, say, rejected } = stage();
    for (let ms = 0; ms < 1000; ms += 10) {
      say('noise\n');
      clock.advance(10);
    }
    clock.advance(1000);
    expect(rejected[0]).toEqual({ at: 0, counts: { notJson: 1 }, detail: 'noise' });
    expect(rejected.length).toBeLessThanOrEqual(6);
    const total = rejected.reduce((sum, { counts }) => sum + (counts.notJson ?? 0), 0);
    expect(total).toBe(100);
  });

  it('takes fifty readings a second of a 10 kHz flood and counts every other one', () => {
    const { clock, say, readings, rejected } = stage();
    for (let ms = 0; ms < 2000; ms += 1) {
      say(GOOD.repeat(10));
      clock.advance(1);
    }
    clock.advance(1000);
    expect(readings.length).toBeGreaterThanOrEqual(145);
    expect(readings.length).toBeLessThanOrEqual(150);
    const refused = rejected.reduce((sum, { counts }) => sum + (counts.tooFast ?? 0), 0);
    expect(readings.length + refused).toBe(20_000);
  });

  it('counts what decode throws and goes on with the next frame', () => {
    let calls = 0;
    const { say, readings, rejected, clock } = stage(
      decoding(() => {
        calls += 1;
        if (calls === 1) throw new Error('index out of range');
        return { quantities: { inputPowerW: 5 }, states: {}, quality: 'good', reasons: {} };
      }),
    );
    say('a\nb\n');
    clock.advance(250);
    expect(rejected[0]).toMatchObject({ counts: { adapterError: 1 }, detail: expect.stringContaining('index out') });
    expect(readings).toHaveLength(1);
  });

  it('refuses values that are no numbers, whatever decode dressed them as', () => {
    const { say, readings } = stage(
      decoding(() => ({
        quantities: { inputPowerW: Number.NaN, outputPowerW: 10n, stateOfChargePct: 50 },
        quality: 'good',
      })),
    );
    say('a\n');
    expect(readings[0]).toMatchObject({
      quantities: { inputPowerW: null, outputPowerW: null, stateOfChargePct: 50 },
      quality: 'uncertain',
    });
  });

  it('starts a new framer after one that threw', () => {
    let made = 0;
    const { say, readings, rejected } = stage({
      manifest: lines.manifest,
      open: () => ({
        ...lines.open(),
        createFramer() {
          made += 1;
          if (made > 1) return lines.open().createFramer(STREAM);
          return {
            push: () => {
              throw new Error('lost');
            },
            end: () => undefined,
          };
        },
      }),
    });
    say('x');
    say(GOOD);
    expect(rejected[0]?.counts).toEqual({ adapterError: 1 });
    expect(readings).toHaveLength(1);
  });

  it('tells at its end what was left over and every count still owed', () => {
    const { say, channel, rejected } = stage();
    say('noise\nnoise\n{"half');
    channel.end();
    expect(rejected.map(({ counts }) => counts)).toEqual([{ notJson: 1 }, { notJson: 1, incomplete: 1 }]);
  });

  it('asks, takes the answer, and counts a question that nobody answers', () => {
    const asking: Adapter = {
      manifest: { ...lines.manifest, requests: [{ name: 'now', bytes: '3f' }] },
      open: () => ({
        ...lines.open(),
        decode: () => ({ rejected: 'unexpected', detail: 'nobody asked' }),
        *talk(): Talk {
          for (;;) {
            const answer = yield { step: 'ask', send: Buffer.from('?'), accepts: () => true, withinMs: 500 };
            if ('frame' in answer) yield { step: 'give', answer: lines.open().decode(answer.frame, STREAM) };
            yield { step: 'rest' };
          }
        },
      }),
    };
    const { clock, say, sent, readings, rejected } = stage(asking);
    clock.advance(0);
    expect(sent).toEqual([{ place: 0, bytes: [0x3f] }]);
    say(GOOD);
    expect(readings).toHaveLength(1);
    say(GOOD);
    clock.advance(2000);
    expect(sent).toHaveLength(3);
    const causes = rejected.map(({ counts }) => counts);
    expect(causes).toEqual([{ unexpected: 1 }, { unanswered: 1 }]);
  });

  it('keeps the bytes of each characteristic apart and knows each by its name', () => {
    const characteristic = { service: '180f', uuid: '2a19', use: ['notify' as const] };
    const named: Adapter = {
      manifest: {
        ...lines.manifest,
        transports: ['ble'],
        ble: { find: { services: ['180f'] }, characteristics: { left: characteristic, right: characteristic } },
      },
      open: () => ({
        ...lines.open(),
        decode: (frame, from) => ({ ...lines.open().decode(frame, STREAM), states: { fault: from } }) as DecodedReading,
      }),
    };
    const { say, readings } = stage(named);
    say('{"inputP', 1);
    say('{"outputPowerW":7}\n', 2);
    say('owerW":5}\n', 1);
    say('{"outputPowerW":9}\n', 3);
    expect(readings).toMatchObject([
      { quantities: { outputPowerW: 7 }, states: { fault: 'right' } },
      { quantities: { inputPowerW: 5 }, states: { fault: 'left' } },
    ]);
  });
});

describe('a channel whose station tells its reading in parts', () => {
  const parted: Adapter = {
    manifest: {
      ...lines.manifest,
      transports: ['ble'],
      partsHoldMs: 1000,
      ble: {
        find: { namePrefix: 'Hive' },
        characteristics: {
          level: { service: '180f', uuid: '2a19', use: ['notify'] },
          power: { service: '180f', uuid: '2b05', use: ['notify'] },
        },
      },
    },
    open: () => ({
      createFramer: () => lines.open().createFramer(''),
      decode: (frame, from) => {
        const told = JSON.parse(Buffer.from(frame).toString());
        return from === 'level'
          ? { quantities: {}, states: { onMains: told.onMains }, quality: 'good', reasons: {} }
          : { quantities: told, states: {}, quality: 'good', reasons: {}, part: Object.keys(told).join() };
      },
    }),
  };

  it('gives all parts that stand, each time one arrives, once there is a value', () => {
    const { clock, say, readings, rejected } = stage(parted);
    say('{"onMains":true}\n', 1);
    expect(readings).toEqual([]);
    say('{"batteryPowerW":-20}\n', 2);
    clock.advance(999);
    say('{"stateOfChargePct":40}\n', 2);
    clock.advance(1);
    say('{"stateOfChargePct":41}\n', 2);
    expect(readings).toMatchObject([
      { quantities: { batteryPowerW: -20, outputPowerW: 20 }, states: { onMains: true } },
      { quantities: { batteryPowerW: -20, stateOfChargePct: 40 }, states: { onMains: true } },
      {
        quantities: { batteryPowerW: null, outputPowerW: null, stateOfChargePct: 41 },
        states: { onMains: 'unknown' },
        reasons: { batteryPowerW: 'notAvailable' },
      },
    ]);
    expect(rejected).toEqual([]);
  });
});
