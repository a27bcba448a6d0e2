import { crc32 } from 'node:zlib';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  CRC,
  createCrc,
  fletcher16,
  inverted8,
  lrc8,
  sum8,
  sum16,
  type Trailer,
  trailerHolds,
  withTrailer,
  xor8,
} from '#kit';
import { CRC_CHECKS, type CrcRow, KIT_CRCS, SUM_CHECKS } from '../reference/checksums.ts';

const ascii = (text: string): Uint8Array => Buffer.from(text, 'latin1');
const hex = (cell: string): number => Number.parseInt(cell.slice(1), 16);
const NINE = ascii('123456789');

const modelOf = (row: CrcRow) => ({
  width: row.width,
  poly: hex(row.poly),
  init: hex(row.init),
  reflectIn: row.reflected === 'yes',
  reflectOut: row.reflected === 'yes',
  xorOut: hex(row.xorOut),
});

describe('a CRC', () => {
  it.each(CRC_CHECKS)('$name of 123456789 is the published $check', row => {
    expect(createCrc(modelOf(row))(NINE)).toBe(hex(row.check));
  });

  it('is the published one for every model the kit names', () => {
    expect(Object.keys(KIT_CRCS)).toEqual(Object.keys(CRC));
    for (const [key, name] of Object.entries(KIT_CRCS)) {
      const row = CRC_CHECKS.find(candidate => candidate.name === name)!;
      expect([name, CRC[key as keyof typeof CRC]]).toEqual([name, modelOf(row)]);
    }
  });

  it('divides as polynomials divide, bit by bit, whatever the width and the reflections', () => {
    const parameters = fc.record({
      width: fc.integer({ min: 3, max: 32 }),
      poly: fc.nat(0xffffffff),
      init: fc.nat(0xffffffff),
      xorOut: fc.nat(0xffffffff),
      reflectIn: fc.boolean(),
      reflectOut: fc.boolean(),
    });
    fc.assert(
      fc.property(parameters, fc.uint8Array({ maxLength: 40 }), (wide, bytes) => {
        const mask = (1n << BigInt(wide.width)) - 1n;
        const cut = (value: number): number => Number(BigInt(value) & mask);
        const model = { ...wide, poly: cut(wide.poly) | 1, init: cut(wide.init), xorOut: cut(wide.xorOut) };
        const unsigned = { ...model, poly: model.poly >>> 0 };
        expect(createCrc(unsigned)(bytes)).toBe(longDivision(unsigned, bytes));
      }),
    );
  });

  it('refuses a width it cannot hold', () => {
    expect(() => createCrc({ ...CRC.crc32, width: 33 })).toThrow(RangeError);
    expect(() => createCrc({ ...CRC.crc32, width: 2 })).toThrow(RangeError);
  });

  it.skipIf(crc32 === undefined)('CRC-32 is the one of zlib for any bytes', () => {
    const mine = createCrc(CRC.crc32);
    fc.assert(fc.property(fc.uint8Array({ maxLength: 300 }), bytes => mine(bytes) === crc32(bytes)));
  });
});

describe('a sum', () => {
  const sums = { sum8, sum16, inverted8, lrc8, xor8, fletcher16 };
  it.each(Object.entries(SUM_CHECKS))('%s gives the known values', (name, rows) => {
    for (const [text, value] of rows)
      expect([text, sums[name as keyof typeof sums](ascii(text))]).toEqual([text, value]);
  });
});

describe('a checksum at the end of a frame', () => {
  const modbus: Trailer = { checksum: createCrc(CRC.modbus), bytes: 2 };

  it('goes out low byte first, or high byte first where told', () => {
    expect([...withTrailer(NINE, modbus).subarray(-2)]).toEqual([0x37, 0x4b]);
    expect([...withTrailer(NINE, { ...modbus, bigEndian: true }).subarray(-2)]).toEqual([0x4b, 0x37]);
  });

  it('holds for what was sent, and for nothing with one bit turned', () => {
    const kinds = fc.constantFrom<Trailer>(
      modbus,
      { checksum: createCrc(CRC.crc32), bytes: 4, bigEndian: true },
      { checksum: xor8, bytes: 1 },
      { checksum: lrc8, bytes: 1, skip: 2 },
    );
    fc.assert(
      fc.property(kinds, fc.uint8Array({ minLength: 3, maxLength: 60 }), fc.nat(), (kind, body, turn) => {
        const frame = withTrailer(body, kind);
        expect(trailerHolds(frame, kind)).toBe(true);
        const covered = (frame.length - (kind.skip ?? 0)) * 8;
        const bit = (kind.skip ?? 0) * 8 + (turn % covered);
        frame[bit >> 3]! ^= 1 << (bit & 7);
        expect(trailerHolds(frame, kind)).toBe(false);
      }),
    );
  });

  it('does not hold for a frame shorter than itself', () => {
    expect(trailerHolds(Uint8Array.of(1), modbus)).toBe(false);
    expect(trailerHolds(Uint8Array.of(), { checksum: xor8, bytes: 1 })).toBe(false);
    expect(trailerHolds(Uint8Array.of(1, 2), { checksum: xor8, bytes: 1, skip: 2 })).toBe(false);
  });
});

/** The definition itself with whole numbers: the message, start value on its front, divided by the polynomial. */
function longDivision(model: Parameters<typeof createCrc>[0], bytes: Uint8Array): number {
  const width = BigInt(model.width);
  const turn = (value: bigint, bits: bigint): bigint =>
    BigInt(`0b${value.toString(2).padStart(Number(bits), '0').split('').reverse().join('')}`);
  let register = BigInt(model.init);
  for (const byte of bytes) {
    const fed = model.reflectIn ? turn(BigInt(byte), 8n) : BigInt(byte);
    for (let i = 7n; i >= 0n; i--) {
      const out = ((register >> (width - 1n)) & 1n) ^ ((fed >> i) & 1n);
      register = (register << 1n) & ((1n << width) - 1n);
      if (out === 1n) register ^= BigInt(model.poly);
    }
  }
  return Number((model.reflectOut ? turn(register, width) : register) ^ BigInt(model.xorOut));
}
