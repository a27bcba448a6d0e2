import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  checkReading,
  decodeTable,
  type Field,
  type FieldTable,
  isRejection,
  tableDecoder,
  tableFault,
  WattkeepError,
} from '#kit';
import { bytesOf } from '../support/feed.ts';

/** Ten fields of an invented station. */
const TABLE: FieldTable = {
  minBytes: 16,
  order: 'big',
  constants: [{ at: 0, is: 0x51 }],
  fields: [
    { gives: 'solarPowerW', at: 1, type: 'u16', scale: 0.1, notAvailable: [0xffff] },
    { gives: 'outputPowerW', at: 3, type: 'u16' },
    { gives: 'stateOfChargePct', at: 5, type: 'u8' },
    { gives: 'batteryTempC', at: 6, type: 'u8', add: -40 },
    { gives: 'batteryCurrentA', at: 7, type: 'i16', scale: -0.01 },
    { state: 'acOutletsOn', at: 9, type: 'u8', mask: 0x01 },
    { state: 'onMains', at: 9, type: 'u8', mask: 0x02 },
    { state: 'inputSource', at: 9, type: 'u8', mask: 0x30, words: { 0: 'sun', 1: 'wall' } },
    { state: 'fault', at: 10, type: 'u16', eachBit: true, words: { 0: 'too hot', 9: 'overload' } },
    { gives: 'solarEnergyWh', at: 12, type: 'u32', scale: 10, order: 'little' },
    { gives: 'acVoltageV', at: 16, type: 'u16', optional: true },
  ],
};
const FRAME = '51 04b0 0023 51 41 ff9c 13 0201 e8030000';

describe('a table of fields', () => {
  it('reads a frame: offsets, orders, scales, masks, words and bits', () => {
    expect(tableFault(TABLE)).toBeNull();
    expect(decodeTable(TABLE, bytesOf(FRAME))).toEqual({
      quantities: {
        solarPowerW: 120,
        outputPowerW: 35,
        stateOfChargePct: 81,
        batteryTempC: 25,
        batteryCurrentA: 1,
        solarEnergyWh: 10_000,
      },
      states: { acOutletsOn: true, onMains: true, inputSource: 'wall', fault: 'too hot, overload' },
      quality: 'good',
      reasons: {},
    });
  });

  it('says "does not know" for a not-available value, "unknown" for a word that is not listed', () => {
    expect(decodeTable(TABLE, bytesOf('51 ffff 0023 51 41 ff9c 23 0000 e8030000'))).toMatchObject({
      quantities: { solarPowerW: null },
      reasons: { solarPowerW: 'notAvailable' },
      states: { acOutletsOn: true, inputSource: 'unknown' },
      quality: 'good',
    });
  });

  it('refuses a value out of its range and doubts the rest', () => {
    expect(decodeTable(TABLE, bytesOf('51 04b0 0023 65 41 ff9c 13 0000 e8030000'))).toMatchObject({
      quantities: { stateOfChargePct: null, outputPowerW: 35 },
      reasons: { stateOfChargePct: 'outOfRange' },
      quality: 'uncertain',
    });
  });

  it('reads an optional field where the frame is long enough', () => {
    expect(decodeTable(TABLE, bytesOf(`${FRAME} 00e6`))).toMatchObject({ quantities: { acVoltageV: 230 } });
  });

  it('rejects a frame that is too short, too long or of another kind', () => {
    const short = decodeTable(TABLE, bytesOf('51 00'));
    expect(short).toEqual({ rejected: 'malformed', detail: '2 bytes, at least 16 expected' });
    const long = decodeTable({ ...TABLE, maxBytes: 18 }, bytesOf(`${FRAME} 00e6 00`));
    expect(long).toEqual({ rejected: 'malformed', detail: '19 bytes, 16 to 18 expected' });
    const other = decodeTable(TABLE, bytesOf(FRAME.replace('51', '52')));
    expect(other).toEqual({ rejected: 'malformed', detail: 'byte 0 is 0x52, not 0x51' });
  });

  it('leaves no crumbs of binary fractions', () => {
    const table: FieldTable = { minBytes: 2, fields: [{ gives: 'inputPowerW', at: 0, type: 'u16', scale: 0.1 }] };
    fc.assert(
      fc.property(fc.nat(0xffff), tenths => {
        const reading = decodeTable(table, Uint8Array.of(tenths & 255, tenths >> 8));
        expect(reading).toMatchObject({ quantities: { inputPowerW: Number(`${tenths}e-1`) } });
      }),
    );
  });

  it('gives for any bytes the same answer twice, which stands before the strict check, and changes no byte', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 24 }), bytes => {
        const frame = bytes.slice();
        if (frame.length > 0) frame[0] = 0x51;
        const before = frame.slice();
        const answer = decodeTable(TABLE, frame);
        expect(decodeTable(TABLE, frame)).toEqual(answer);
        expect(frame).toEqual(before);
        if (!isRejection(answer)) expect(checkReading(answer)).toEqual(answer);
      }),
    );
  });
});

describe('the check of a table', () => {
  const with_ = (field: object, rest: object = {}): FieldTable => ({ minBytes: 4, fields: [field as Field], ...rest });

  it.each<[string, FieldTable]>([
    [
      'field 1 (inputPower): "inputPower" is no quantity; did you mean inputPowerW',
      with_({ gives: 'inputPower', at: 0, type: 'u8' }),
    ],
    [
      'field 1 (inputPowerW): its type "uint16" is not known; did you mean u16',
      with_({ gives: 'inputPowerW', at: 0, type: 'uint16' }),
    ],
    [
      'field 1 (inputPowerW): its bytes 3 to 4 lie beyond minBytes (4): raise that, or say optional',
      with_({ gives: 'inputPowerW', at: 3, type: 'u16' }),
    ],
    [
      'field 1 (inputPowerW): scale must be a number other than 0',
      with_({ gives: 'inputPowerW', at: 0, type: 'u8', scale: 0 }),
    ],
    [
      'field 1 (inputPowerW): its mask has no bit within u8',
      with_({ gives: 'inputPowerW', at: 0, type: 'u8', mask: 0x100 }),
    ],
    [
      'field 1 (inputPowerW): a mask needs an unsigned type of 32 bits at most, not i8',
      with_({ gives: 'inputPowerW', at: 0, type: 'i8', mask: 1 }),
    ],
    ['field 1 (inputPowerW): bcd needs bytes, 1 to 16', with_({ gives: 'inputPowerW', at: 0, type: 'bcd' })],
    [
      'field 1 (inputPowerW): bytes is for bcd and ascii; u8 is always 1',
      with_({ gives: 'inputPowerW', at: 0, type: 'u8', bytes: 1 }),
    ],
    [
      'field 1 (inputPowerW): swapped is an order of 16-bit words; u8 has none',
      with_({ gives: 'inputPowerW', at: 0, type: 'u8', order: 'swapped' }),
    ],
    ['field 1 (inputSource): words is missing', with_({ state: 'inputSource', at: 0, type: 'u8' })],
    [
      'field 1 (inputSource): words: moon is no word of inputSource',
      with_({ state: 'inputSource', at: 0, type: 'u8', words: { 1: 'moon' } }),
    ],
    [
      'field 1 (onMain): it gives neither a quantity nor a known state; did you mean onMains',
      with_({ state: 'onMain', at: 0, type: 'u8' }),
    ],
    [
      'the constant at 4 lies beyond minBytes (4)',
      with_({ gives: 'inputPowerW', at: 0, type: 'u8' }, { constants: [{ at: 4, is: 1 }] }),
    ],
    ['fields lists nothing', { minBytes: 4, fields: [] }],
    ['minBytes must be 1 to 65536', { minBytes: 0, fields: [] }],
    [
      'field 2: inputPowerW is given twice',
      {
        minBytes: 4,
        fields: [
          { gives: 'inputPowerW', at: 0, type: 'u8' },
          { gives: 'inputPowerW', at: 1, type: 'u8' },
        ],
      },
    ],
  ])('says: %s', (fault, table) => {
    expect(tableFault(table)).toBe(fault);
    expect(() => tableDecoder(table)).toThrow(WattkeepError);
  });

  it('lets fields overlap and ports be numbered', () => {
    expect(
      tableFault({
        minBytes: 2,
        order: 'swapped',
        fields: [
          { gives: 'solarPowerW.1', at: 0, type: 'u16' },
          { gives: 'solarPowerW.2', at: 1, type: 'u8' },
        ],
      }),
    ).toBeNull();
  });
});
