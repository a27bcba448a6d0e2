import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import type { Reading } from '#kit';
import { packBlock, unpackBlock } from '../../agent/store/codec/block.ts';
import { readDeltas, readRuns, writeRuns } from '../../agent/store/codec/column.ts';
import { columnsOf } from '../../agent/store/codec/columns.ts';
import { EMPTY_LAYOUT, extendLayout, parseLayout } from '../../agent/store/codec/layout.ts';
import { decodeBuckets, encodeBuckets } from '../../agent/store/codec/rollup.ts';
import { Room } from '../../agent/store/codec/room.ts';
import { encodeColumns, openBlock } from '../../agent/store/codec/rows.ts';
import { ByteReader, ByteWriter, CodecError, STORED_MAX } from '../../agent/store/codec/varint.ts';
import { addRows, emptyBuckets } from '../../agent/store/rollup.ts';
import { anyReadings } from '../support/any-readings.ts';
import { readingsOfFormatOne } from '../support/format-one.ts';
import { reading } from '../support/record.ts';

const written = (write: (writer: ByteWriter) => void): ByteReader => {
  const writer = new ByteWriter(1);
  write(writer);
  return new ByteReader(writer.bytes().slice());
};

const layoutOf = (readings: readonly { quantities: object }[]) =>
  extendLayout(
    EMPTY_LAYOUT,
    readings.flatMap(r => Object.keys(r.quantities)),
  );

describe('whole numbers as bytes', () => {
  test('every safe whole number comes back', () => {
    fc.assert(
      fc.property(fc.array(fc.maxSafeNat()), numbers => {
        const reader = written(w => {
          for (const n of numbers) w.unsigned(n);
        });
        expect(numbers.map(() => reader.unsigned())).toEqual(numbers);
        expect(reader.left).toBe(0);
      }),
    );
    const reader = written(w => w.unsigned(Number.MAX_SAFE_INTEGER));
    expect(reader.unsigned()).toBe(Number.MAX_SAFE_INTEGER);
  });

  test('small numbers take one byte, either sign', () => {
    expect(
      written(w => {
        for (const n of [0, -1, 1, -64, 63]) w.signed(n);
      }).left,
    ).toBe(5);
  });

  test.each([-1, 0.5, Number.NaN, Number.POSITIVE_INFINITY, 2 ** 53])('%d is refused', n => {
    expect(() => new ByteWriter().unsigned(n)).toThrow(RangeError);
  });

  test('the end of the bytes, a number without end and one past 2^53 are errors', () => {
    expect(() => new ByteReader(new Uint8Array([0x80])).unsigned()).toThrow(CodecError);
    expect(() => new ByteReader(new Uint8Array(20).fill(0xff)).unsigned()).toThrow(CodecError);
    expect(() => new ByteReader(new Uint8Array([255, 255, 255, 255, 255, 255, 255, 127])).unsigned()).toThrow(
      CodecError,
    );
    expect(() => new ByteReader(new Uint8Array([5, 1])).part()).toThrow(CodecError);
  });
});

describe('columns', () => {
  test('differences come back, from one extreme to the other', () => {
    const value = fc.oneof(fc.constantFrom(-STORED_MAX, STORED_MAX, 0), fc.integer());
    fc.assert(
      fc.property(fc.array(value), values => {
        expect([
          ...readDeltas(
            written(w => w.deltas(Float64Array.from(values))),
            values.length,
          ),
        ]).toEqual(values);
      }),
    );
  });

  test('runs come back', () => {
    fc.assert(
      fc.property(fc.array(fc.nat({ max: 3 })), values => {
        expect([
          ...readRuns(
            written(w => writeRuns(w, values)),
            values.length,
          ),
        ]).toEqual(values);
      }),
    );
  });

  test('a value too large to store, and a run longer than the block, are errors', () => {
    expect(() => new ByteWriter().deltas(Float64Array.of(STORED_MAX * 2))).toThrow(RangeError);
    expect(() => new ByteWriter().deltas(Float64Array.of(Number.NaN))).toThrow(RangeError);
    expect(() =>
      readRuns(
        written(w => writeRuns(w, [1, 1, 1])),
        2,
      ),
    ).toThrow(CodecError);
  });
});

describe('blocks of readings', () => {
  test('readings of every kind come back: nulls, absences, words, ports, extremes', () => {
    fc.assert(
      fc.property(anyReadings, readings => {
        const layout = layoutOf(readings);
        const block = encodeColumns(columnsOf(readings, layout));
        expect(openBlock(block, layout).readings('shed')).toEqual(readings);
        expect(openBlock(block, parseLayout(layout.text)).readings('shed')).toEqual(readings);
      }),
    );
  });

  test('are the same bytes in the room of another block as in a new one', () => {
    fc.assert(
      fc.property(anyReadings, anyReadings, (before, readings) => {
        const layout = layoutOf([...before, ...readings]);
        const room = new Room();
        columnsOf(before, layout, room);
        const block = encodeColumns(columnsOf(readings, layout, room));
        expect(block.equals(encodeColumns(columnsOf(readings, layout)))).toBe(true);
      }),
      { numRuns: 50 },
    );
  });

  test('rows that each name other quantities come back, as do values that are not given', () => {
    const named: Reading['quantities'][] = [
      { inputPowerW: 1, outputPowerW: 2 },
      { outputPowerW: null, inputPowerW: 3 },
    ];
    named.push({ inputPowerW: 4, outputPowerW: 5, batteryTempC: 6 }, { inputPowerW: 7 }, {}, { batteryTempC: null });
    const readings = named.map((quantities, i) => reading(i + 1, quantities));
    const columns = columnsOf(readings, EMPTY_LAYOUT);
    expect(columns.channels.map(({ given }) => given)).toEqual([1, 4, 2]);
    expect(openBlock(encodeColumns(columns), columns.layout).readings('shed')).toEqual(readings);
  });

  test('of the first format are read as well', () => {
    fc.assert(
      fc.property(anyReadings, readings => {
        const layout = layoutOf(readings);
        expect(openBlock(readingsOfFormatOne(readings, layout), layout).readings('shed')).toEqual(readings);
      }),
    );
  });

  test('a quantity that a layout lacks makes it grow at its end', () => {
    const { layout } = columnsOf([reading(1, { inputPowerW: 1 })], EMPTY_LAYOUT);
    const readings = [reading(2, { batteryTempC: 5 }), reading(3, { batteryTempC: null, airTempC: 7, inputPowerW: 2 })];
    const columns = columnsOf(readings, layout);
    expect(columns.layout.channels.map(c => c.key)).toEqual(['inputPowerW', 'airTempC', 'batteryTempC']);
    expect(openBlock(encodeColumns(columns), columns.layout).readings('shed')).toEqual(readings);
  });

  test('the order in which a source names its quantities does not matter', () => {
    const a = reading(1, { inputPowerW: 1, outputPowerW: 2 });
    const b = reading(1, { outputPowerW: 2, inputPowerW: 1 });
    const layout = layoutOf([a]);
    expect(encodeColumns(columnsOf([a], layout)).equals(encodeColumns(columnsOf([b], layout)))).toBe(true);
  });

  test('a flipped bit or a cut gives an error, never another reading', () => {
    fc.assert(
      fc.property(anyReadings, fc.nat(), fc.nat({ max: 7 }), fc.boolean(), (readings, place, bit, cut) => {
        const layout = layoutOf(readings);
        const block = encodeColumns(columnsOf(readings, layout));
        const at = place % block.length;
        const damaged = cut ? block.subarray(0, at) : Buffer.from(block);
        if (!cut) damaged[at]! ^= 1 << bit;
        expect(() => openBlock(damaged, layout).readings('shed')).toThrow(CodecError);
      }),
      { numRuns: 300 },
    );
  });

  test('a block read with another layout is an error', () => {
    const block = encodeColumns(columnsOf([reading(1, { inputPowerW: 5 })], EMPTY_LAYOUT));
    expect(() => openBlock(block, layoutOf([reading(1, { batteryTempC: 5 })]))).toThrow(/another layout/);
  });

  test('a block of a later format is refused by its first byte', () => {
    const block = packBlock(new Uint8Array(3), 'x');
    expect([...unpackBlock(block, 'x')]).toEqual([0, 0, 0]);
    block[0] = 3;
    expect(() => unpackBlock(block, 'x')).toThrow(/format 3/);
  });

  test('a quantity nobody knows cannot be stored', () => {
    expect(() => extendLayout(EMPTY_LAYOUT, ['moonPowerW'])).toThrow(RangeError);
    expect(() => parseLayout('[["moonPowerW",10]]')).toThrow(CodecError);
  });
});

describe('blocks of rollups', () => {
  test('buckets come back, column by column, and a damaged byte is an error', () => {
    fc.assert(
      fc.property(anyReadings, fc.nat(), (readings, place) => {
        const layout = layoutOf(readings);
        const level = { stepMs: 900_000, spanMs: 86_400_000 };
        const startAt = Math.floor(readings[0]!.at / level.spanMs) * level.spanMs;
        const buckets = emptyBuckets(layout.channels.length, level.spanMs / level.stepMs);
        addRows(buckets, level.stepMs, startAt, columnsOf(readings, layout));
        const block = encodeBuckets(buckets, layout);
        const indexes = [...layout.channels.keys()];
        expect(decodeBuckets(block, layout, indexes)).toEqual(buckets);
        expect(decodeBuckets(block, layout, [indexes.length])).toEqual([undefined]);
        block[place % block.length]! ^= 0x10;
        expect(() => decodeBuckets(block, layout, indexes)).toThrow(CodecError);
      }),
      { numRuns: 25 },
    );
  }, 60_000);
});
