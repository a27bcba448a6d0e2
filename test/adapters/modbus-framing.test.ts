import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { CRC, createCrc } from '#kit';
import { mbap } from '../../protocol-adapters/sunspec-modbus/mbap.ts';
import { readRegisters, readReply } from '../../protocol-adapters/sunspec-modbus/pdu.ts';
import { int16, pointValue, uint16, uint64 } from '../../protocol-adapters/sunspec-modbus/points.ts';
import { rtu } from '../../protocol-adapters/sunspec-modbus/rtu.ts';
import { crc16 } from '../../simulators/wire/modbus/crc16.ts';
import { rtuFrame } from '../../simulators/wire/modbus/rtu-side.ts';
import { CRC_CHECK, CRC_EXAMPLE, EXCEPTION_EXAMPLE, READ_EXAMPLE } from '../reference/modbus.ts';

const numbers = (view: DataView): number[] =>
  Array.from({ length: view.byteLength / 2 }, (_, i) => view.getUint16(2 * i));

/** The frames that a framer finds in a stream that arrives in chunks. */
function framesIn(wire: typeof rtu, chunks: readonly Uint8Array[]): number[][] {
  const framer = wire.createFramer();
  const found: number[][] = [];
  const onFrame = (frame: Uint8Array) => void found.push([...frame]);
  for (const chunk of chunks) framer.push(chunk, onFrame, () => undefined);
  framer.idle?.(onFrame, () => undefined);
  return found;
}

describe('the examples of the Modbus specification', () => {
  it('are asked and read as printed', () => {
    const { address, count, request, reply, registers } = READ_EXAMPLE;
    expect(readRegisters(address, count)).toEqual(request);
    const told = readReply(Uint8Array.from(reply), count);
    expect(told !== null && 'registers' in told && numbers(told.registers)).toEqual(registers);
    expect(readReply(Uint8Array.from(reply), count + 1)).toBeNull();
  });

  it('know an exception by the highest bit, and only one of the function that was asked', () => {
    expect(readReply(Uint8Array.of(0x83, 2), 1)).toEqual({ exception: 2 });
    expect(readReply(Uint8Array.from(EXCEPTION_EXAMPLE.reply), 1)).toBeNull();
  });

  it('have the published checksums, in both implementations', () => {
    const text = new TextEncoder().encode(CRC_CHECK.text);
    expect(crc16(text)).toBe(CRC_CHECK.value);
    expect(createCrc(CRC.modbus)(text)).toBe(CRC_CHECK.value);
    const sum = crc16(Uint8Array.from(CRC_EXAMPLE.message));
    expect([sum & 0xff, sum >> 8]).toEqual(CRC_EXAMPLE.sent);
  });
});

describe('a Modbus RTU frame', () => {
  const reply = Uint8Array.from(READ_EXAMPLE.reply);
  const question = rtu.question(1, 17, READ_EXAMPLE.address, READ_EXAMPLE.count);

  it('is answered by its own unit and its own count alone', () => {
    expect(question.reply(rtuFrame(17, reply))).not.toBeNull();
    expect(question.reply(rtuFrame(18, reply))).toBeNull();
    const longer = rtu.question(1, 17, READ_EXAMPLE.address, READ_EXAMPLE.count + 1);
    expect(longer.reply(rtuFrame(17, reply))).toBeNull();
    expect(question.reply(rtuFrame(17, Uint8Array.of(0x83, 2)))).toEqual({ exception: 2 });
  });

  it('is found whole in any pieces, behind any noise', () => {
    const whole = [...rtuFrame(17, reply)];
    const noise = fc.uint8Array({ maxLength: 40 });
    fc.assert(
      fc.property(noise, fc.array(fc.nat(60), { maxLength: 6 }), (before, cuts) => {
        const stream = Uint8Array.of(...before, ...whole);
        const at = [0, ...cuts.map(cut => Math.min(cut, stream.length)).sort((a, b) => a - b), stream.length];
        const chunks = at.slice(1).map((to, i) => stream.subarray(at[i], to));
        expect(framesIn(rtu, chunks)).toContainEqual(whole);
      }),
    );
  });

  it('with any wrong byte is none', () => {
    const good = rtuFrame(17, reply);
    fc.assert(
      fc.property(fc.nat(good.length - 1), fc.integer({ min: 1, max: 255 }), (at, change) => {
        const wrong = good.slice();
        wrong[at] = wrong[at]! ^ change;
        expect(framesIn(rtu, [wrong])).toEqual([]);
      }),
    );
  });
});

describe('a Modbus TCP frame', () => {
  const frameOf = (turn: number, unit: number): Uint8Array =>
    Uint8Array.of(turn >> 8, turn & 0xff, 0, 0, 0, READ_EXAMPLE.reply.length + 1, unit, ...READ_EXAMPLE.reply);

  it('is answered by its own number alone', () => {
    const question = mbap.question(0x1234, 1, READ_EXAMPLE.address, READ_EXAMPLE.count);
    expect([...question.send]).toEqual([0x12, 0x34, 0, 0, 0, 6, 1, ...READ_EXAMPLE.request]);
    expect(question.reply(frameOf(0x1234, 1))).not.toBeNull();
    expect(question.reply(frameOf(0x1233, 1))).toBeNull();
    expect(question.reply(frameOf(0x1234, 2))).toBeNull();
  });

  it('is found in any pieces, two in a row too', () => {
    const [one, two] = [frameOf(1, 1), frameOf(2, 1)];
    const stream = Uint8Array.of(...one, ...two);
    for (let cut = 0; cut <= stream.length; cut++) {
      expect(framesIn(mbap, [stream.subarray(0, cut), stream.subarray(cut)])).toEqual([[...one], [...two]]);
    }
  });
});

describe('a SunSpec point', () => {
  const view = (...words: number[]): DataView => {
    const made = new DataView(new ArrayBuffer(2 * words.length));
    for (const [i, word] of words.entries()) made.setUint16(2 * i, word);
    return made;
  };

  it.each([
    ['12.3 with a scale of −1', view(123, 0xffff), int16(0, 1), 12.3],
    ['−12.3 below zero', view(0xff85, 0xffff), int16(0, 1), -12.3],
    ['12300 with a scale of 2', view(123, 2), uint16(0, 1), 12_300],
    ['unscaled where the scale is not implemented', view(123, 0x8000), uint16(0, 1), 123],
    ['nothing where int16 is 8000', view(0x8000, 0), int16(0, 1), null],
    ['nothing where uint16 is FFFF', view(0xffff, 0), uint16(0, 1), null],
    ['a number of 64 bits', view(0, 1, 0, 0, 0), uint64(0, 4), 2 ** 32],
    ['nothing where a number of 64 bits is all ones', view(0xffff, 0xffff, 0xffff, 0xffff, 0), uint64(0, 4), null],
    ['nothing at all behind the block’s end', view(1), uint16(1, 2), undefined],
    ['no number where the scale is impossible', view(123, 11), uint16(0, 1), Number.NaN],
  ] as const)('is %s', (_, registers, point, value) => {
    expect(pointValue(registers, point)).toEqual(value);
  });
});
