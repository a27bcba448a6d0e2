import { gunzipSync } from 'node:zlib';
import fc from 'fast-check';
import { parquetMetadata, parquetReadObjects } from 'hyparquet';
import { describe, expect, test } from 'vitest';
import type { KeptReading } from '#messages';
import { WORD_COLUMNS } from '../../agent/exchange/columns.ts';
import { recordingParquet } from '../../agent/exchange/write-parquet.ts';
import { recordingColumns } from '../../agent/exchange/write-recording.ts';
import { anyReadings } from '../support/any-readings.ts';

const ABOUT = { station: 'shed', zone: 'Europe/Berlin', version: '1.2.3', simulated: false };

async function written(readings: readonly KeptReading[], groupRows?: number): Promise<ArrayBuffer> {
  const pieces: Uint8Array[] = [];
  const columns = recordingColumns(readings);
  for await (const piece of recordingParquet(readings, columns, ABOUT, groupRows)) pieces.push(piece);
  const whole = Buffer.concat(pieces);
  return whole.buffer.slice(whole.byteOffset, whole.byteOffset + whole.length);
}

const readBack = (file: ArrayBuffer) => parquetReadObjects({ file, compressors: { GZIP: bytes => gunzipSync(bytes) } });

/** What a row says of a reading. */
function rowOf(reading: KeptReading, readings: readonly KeptReading[]) {
  const { quantities, words, sessions, ran } = recordingColumns(readings);
  const before = readings[readings.indexOf(reading) - 1];
  const ranMs = reading.monoMs - (before?.monoMs ?? 0);
  const isTold = before?.session === reading.session && ranMs !== reading.at - before.at;
  const changes = readings
    .slice(1, readings.indexOf(reading) + 1)
    .filter((one, i) => one.session !== readings[i]!.session);
  return {
    time: new Date(reading.at),
    ...Object.fromEntries(quantities.map(key => [key, reading.quantities[key] ?? null])),
    ...Object.fromEntries(
      words.map(column => {
        const told = column.tell(reading);
        return [column.name, told === '' ? null : column.counts === true ? Number(told) : told];
      }),
    ),
    ...(sessions ? { session: 1 + changes.length } : {}),
    ...(ran ? { ranMs: isTold ? BigInt(ranMs) : null } : {}),
  };
}

describe('a recording in Parquet', () => {
  test('is read back by the reader of the same house as it was told, group by group', async () => {
    await fc.assert(
      fc.asyncProperty(anyReadings, fc.integer({ min: 1, max: 12 }), async (readings, groupRows) => {
        const file = await written(readings, groupRows);
        expect(await readBack(file)).toEqual(readings.map(reading => rowOf(reading, readings)));
        const { row_groups, num_rows } = parquetMetadata(file);
        expect(Number(num_rows)).toBe(readings.length);
        expect(row_groups).toHaveLength(Math.ceil(readings.length / groupRows));
      }),
      { numRuns: 30 },
    );
  });

  test('says what its columns are: UTC milliseconds, nullable doubles, units and versions', async () => {
    const told = { quantities: { inputPowerW: 1, batteryTempC: null, 'solarPowerW.2': 0.5 } };
    const reading = { ...told, at: 5, station: 'shed', states: {}, quality: 'good', clock: 'synced', reasons: {} };
    const { schema, key_value_metadata, created_by } = parquetMetadata(
      await written([{ ...reading, session: 's', seq: 1, monoMs: 0, meanOverMs: 60_000 } as unknown as KeptReading]),
    );
    expect(schema[1]).toMatchObject({
      name: 'time',
      type: 'INT64',
      repetition_type: 'REQUIRED',
      logical_type: { type: 'TIMESTAMP', isAdjustedToUTC: true, unit: 'MILLIS' },
    });
    expect(schema.slice(2).map(({ name, type, repetition_type }) => `${name} ${type} ${repetition_type}`)).toEqual([
      'inputPowerW DOUBLE OPTIONAL',
      'outputPowerW DOUBLE OPTIONAL',
      'stateOfChargePct DOUBLE OPTIONAL',
      'solarPowerW.2 DOUBLE OPTIONAL',
      'batteryTempC DOUBLE OPTIONAL',
      'meanOverMs INT32 OPTIONAL',
    ]);
    const about = Object.fromEntries((key_value_metadata ?? []).map(({ key, value }) => [key, value]));
    expect(JSON.parse(about['wattkeep.units']!)).toMatchObject({
      inputPowerW: 'W',
      batteryTempC: '°C',
      stateOfChargePct: '%',
    });
    expect(about).toMatchObject({
      'wattkeep.format': '1',
      'wattkeep.version': '1.2.3',
      'wattkeep.zone': 'Europe/Berlin',
    });
    expect([created_by, about['wattkeep.simulated']]).toEqual(['wattkeep 1.2.3', undefined]);
  });

  test('without a single reading is a table without rows', async () => {
    expect(await readBack(await written([]))).toEqual([]);
    expect(WORD_COLUMNS.filter(column => column.counts === true).map(column => column.name)).toEqual(['meanOverMs']);
  });
});
