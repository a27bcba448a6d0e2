import { describe, expect, it } from 'vitest';
import { recordingPieces } from '../../agent/commands/recording-pieces.ts';
import { recordingSize } from '../../agent/commands/recording-size.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { recordOfSeconds } from '../support/reading-desk.ts';
import { openTestRecord, START_AT } from '../support/record.ts';
import { DAY_MS, folderOfDays } from '../support/sealed-days.ts';

const HOUR_MS = 3_600_000;
const ALL = { station: 'shed', fromMs: 0, toMs: Number.MAX_SAFE_INTEGER, zone: 'UTC' };

async function written(record: OpenedRecord, asked: typeof ALL) {
  const pieces: Uint8Array[] = [];
  for await (const piece of recordingPieces(record, { ...asked, format: 'csv', version: '1' }, false))
    if (piece !== null) pieces.push(piece);
  const text = Buffer.concat(pieces).toString();
  return { bytes: text.length, rows: text.trimEnd().split('\r\n').length - 1 };
}

describe('the size of a file of readings, told before it is made', () => {
  it('counts every row of the whole, and is near to its bytes', async () => {
    const { record } = recordOfSeconds(5 * 3600);
    const size = recordingSize(record, ALL);
    const { bytes, rows } = await written(record, ALL);
    expect(size).toMatchObject({ readings: rows, minutes: 0 });
    expect(Math.abs(size.csvBytes / bytes - 1)).toBeLessThan(0.05);
  });

  it('is near to a stretch that begins and ends within an hour', async () => {
    const { record } = recordOfSeconds(5 * 3600);
    const asked = { ...ALL, fromMs: START_AT + 0.4 * HOUR_MS, toMs: START_AT + 2.3 * HOUR_MS };
    const size = recordingSize(record, asked);
    const { bytes, rows } = await written(record, asked);
    expect(Math.abs(size.readings / rows - 1)).toBeLessThan(0.02);
    expect(Math.abs(size.csvBytes / bytes - 1)).toBeLessThan(0.05);
  });

  it('tells minutes apart of which no readings are left', async () => {
    const dir = folderOfDays(12);
    const nowMs = () => 400 * DAY_MS + Date.UTC(2026, 0, 1);
    const record = openTestRecord(dir, { nowMs, keepRawDays: () => 7 });
    for (let piece = 0; piece < 100; piece++) record.upkeep();
    const size = recordingSize(record, ALL);
    const { bytes, rows } = await written(record, ALL);
    expect(size.minutes).toBeGreaterThan(0);
    expect(size.minutes + size.readings).toBe(rows);
    expect(Math.abs(size.csvBytes / bytes - 1)).toBeLessThan(0.1);
  });

  it('is nothing where nothing is recorded', () => {
    const { record } = recordOfSeconds(10);
    expect(recordingSize(record, { ...ALL, toMs: 1000 })).toEqual({ readings: 0, minutes: 0, csvBytes: 0 });
    expect(recordingSize(record, { ...ALL, station: 'attic' })).toEqual({ readings: 0, minutes: 0, csvBytes: 0 });
  });
});
