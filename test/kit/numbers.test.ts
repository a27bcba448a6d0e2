import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type ByteOrder, NUMBER_BYTES, type NumberType, readDigits, readNumber } from '#kit';
import { BY_HAND_16, PUBLISHED_16, PUBLISHED_32, SPECIAL_16, SPECIAL_32 } from '../reference/medical-floats.ts';
import { bytesOf } from '../support/feed.ts';

const raw = (value: number, bytes: number): Uint8Array => bytesOf(value.toString(16).padStart(2 * bytes, '0'));

describe('a number in a frame', () => {
  it('leave the frame as it was, whichever kind of bytes it is', () => {
    const frame = Buffer.from([1, 2, 3, 4]);
    expect(readNumber(frame, 0, 'u32')).toBe(0x04030201);
    expect([...frame]).toEqual([1, 2, 3, 4]);
  });

  it.each<[NumberType, ByteOrder, string, number]>([
    ['u8', 'little', 'fe', 254],
    ['i8', 'little', 'fe', -2],
    ['u16', 'little', '34 12', 0x1234],
    ['u16', 'big', '12 34', 0x1234],
    ['i16', 'big', 'ff fe', -2],
    ['i16', 'big', '80 00', -32_768],
    ['u24', 'little', '56 34 12', 0x123456],
    ['i24', 'big', 'ff ff fe', -2],
    ['u32', 'big', 'ff ff ff ff', 4_294_967_295],
    ['i32', 'little', 'fe ff ff ff', -2],
    ['u32', 'swapped', '56 78 12 34', 0x12345678],
    ['f32', 'swapped', '00 00 3f c0', 1.5],
    ['u64', 'big', '00 1f ff ff ff ff ff ff', Number.MAX_SAFE_INTEGER],
    ['i64', 'big', 'ff ff ff ff ff ff ff ff', -1],
    ['f32', 'big', '3f c0 00 00', 1.5],
    ['f64', 'little', '00 00 00 00 00 00 f8 3f', 1.5],
  ])('of type %s, %s bytes first, is read from %s', (type, order, hex, value) => {
    expect(readNumber(bytesOf(hex), 0, type, order)).toBe(value);
    expect(readNumber(bytesOf(`aa aa ${hex} aa`), 2, type, order)).toBe(value);
  });

  it('is not there where the frame ends before it', () => {
    fc.assert(
      fc.property(fc.constantFrom(...(Object.keys(NUMBER_BYTES) as NumberType[])), fc.nat(8), (type, length) => {
        const there = readNumber(new Uint8Array(length), 0, type) !== undefined;
        expect(there).toBe(length >= NUMBER_BYTES[type]);
        expect(readNumber(new Uint8Array(20), -1, type)).toBeUndefined();
      }),
    );
  });

  it('is null for a float that is not a number', () => {
    expect(readNumber(bytesOf('7f c0 00 00'), 0, 'f32', 'big')).toBeNull();
    expect(readNumber(bytesOf('7f f8 00 00 00 00 00 00'), 0, 'f64', 'big')).toBeNull();
  });

  it('is what a DataView reads, for any bytes', () => {
    const methods = { u16: 'getUint16', i16: 'getInt16', u32: 'getUint32', i32: 'getInt32' } as const;
    fc.assert(
      fc.property(fc.uint8Array({ minLength: 4, maxLength: 4 }), fc.boolean(), (bytes, little) => {
        const view = new DataView(bytes.buffer, bytes.byteOffset);
        for (const type of ['u16', 'i16', 'u32', 'i32'] as const) {
          expect(readNumber(bytes, 0, type, little ? 'little' : 'big')).toBe(view[methods[type]](0, little));
        }
      }),
    );
  });
});

describe('a medical float', () => {
  it('of 16 bits is the published and the hand-worked number', () => {
    for (const [bits, value] of [...PUBLISHED_16, ...BY_HAND_16, ...SPECIAL_16]) {
      expect([bits.toString(16), readNumber(raw(bits, 2), 0, 'medfloat16', 'big')]).toEqual([bits.toString(16), value]);
    }
  });

  it('of 32 bits is the published number', () => {
    for (const [bits, value] of [...PUBLISHED_32, ...SPECIAL_32]) {
      expect([bits.toString(16), readNumber(raw(bits, 4), 0, 'medfloat32', 'big')]).toEqual([bits.toString(16), value]);
    }
  });

  it('is the nearest double to its decimal digits, whatever its bits', () => {
    for (let bits = 0; bits <= 0xffff; bits++) {
      if (SPECIAL_16.some(([special]) => special === bits)) continue;
      const mantissa = (bits & 0xfff) - (bits & 0x800 ? 4096 : 0);
      const exponent = (bits >> 12) - (bits & 0x8000 ? 16 : 0);
      if (readNumber(raw(bits, 2), 0, 'medfloat16', 'big') !== Number(`${mantissa}e${exponent}`)) {
        expect.fail(`${bits.toString(16)} is not ${mantissa}e${exponent}`);
      }
    }
  });
});

describe('a number in digits', () => {
  it.each([
    ['bcd', '12 34', 1234],
    ['bcd', '00 07', 7],
    ['bcd', '1a 34', Number.NaN],
    ['ascii', '2d 31 2e 35 20', -1.5],
    ['ascii', '20 20 34 32 00', 42],
    ['ascii', '20 20 00', null],
    ['ascii', '31 65 35', Number.NaN],
    ['ascii', '2e', Number.NaN],
  ] as const)('%s %s', (type, hex, value) => {
    const bytes = bytesOf(hex);
    expect(readDigits(bytes, 0, bytes.length, type)).toBe(value);
  });

  it('takes bcd low byte first where told, and nothing beyond the frame', () => {
    expect(readDigits(bytesOf('34 12'), 0, 2, 'bcd', 'little')).toBe(1234);
    expect(readDigits(bytesOf('34 12'), 1, 2, 'bcd')).toBeUndefined();
  });
});
