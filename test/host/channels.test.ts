import { describe, expect, it } from 'vitest';
import type { Adapter, DecodedReading } from '#kit';
import { openChannel } from '../../agent/host/channels.ts';
import type { RejectionCounts } from '../../agent/host/contract.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';
import { handClock } from '../support/hand-clock.ts';

function stage(adapter: Adapter = lines) {
  const clock = handClock();
  const readings: DecodedReading[] = [];
  const rejected: { at: number; counts: RejectionCounts; detail: string }[] = [];
  const channel = openChannel(1, adapter, {
    monoMs: () => clock.monoMs(),
    timers: clock,
    output: {
      reading: (_channel, reading) => readings.push(reading),
      rejected: (_channel, counts, detail) => rejected.push({ at: clock.monoMs(), counts, detail }),
    },
  });
  return { clock, readings, rejected, channel, say: (text: string) => channel.feed(Buffer.from(text)) };
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
          if (made > 1) return lines.open().createFramer();
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
});
