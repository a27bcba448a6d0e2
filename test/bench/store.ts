/**
 * The record: 30 000 one-minute readings of eight quantities in 5 000 commits as they come live, the rest of a year in
 * batches of 5 000 as an import does, what that takes on the disk, and the questions the page asks of it; beside one
 * flat file of whole numbers with one flush a batch.
 */
import { mkdtempSync, readdirSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { QuantityKey } from '#kit';
import type { Batch } from '#messages';
import { type OpenedRecord, openRecord } from '../../agent/store/open.ts';
import type { Bench, Figure } from './figure.ts';
import { type FlatFile, openFlatFile, squeezedBytesPerSample } from './flat-file.ts';
import { COLUMNS, MINUTE_MS, MINUTES_A_YEAR, readingAt, STATION, YEAR_STARTS_AT } from './recorded-year.ts';
import { median, takeTurns } from './samples.ts';

const LIVE_READINGS = 30_000;
const LIVE_COMMITS = 5_000;
const LIVE_ROUNDS = 20;
const IMPORT_BATCH = 5_000;
const QUERY_ROUNDS = 25;
const SQUEEZED_MINUTES = 30 * 1440;
const ASKED: readonly QuantityKey[] = ['inputPowerW', 'outputPowerW', 'stateOfChargePct'];
const ASKED_COLUMNS = ASKED.map(key => COLUMNS.findIndex(([name]) => name === key));

function batchOf(from: number, count: number): Batch {
  const readings = Array.from({ length: count }, (_, i) => readingAt(from + i));
  const { session, seq, at } = readings.at(-1)!;
  return {
    readings,
    days: [],
    cursors: [{ station: STATION, session, seq, at, inputSource: 'sun' }],
    outages: [],
    spans: [],
    facts: [],
  };
}

const timed = (run: () => void): number => {
  const beganMs = performance.now();
  run();
  return performance.now() - beganMs;
};

async function liveCommits(record: OpenedRecord, flat: FlatFile): Promise<Figure[]> {
  const commits = LIVE_COMMITS / LIVE_ROUNDS;
  const size = LIVE_READINGS / LIVE_COMMITS;
  let [recorded, written] = [0, 0];
  const taken = await takeTurns(LIVE_ROUNDS, {
    record() {
      const batches = Array.from({ length: commits }, (_, i) => batchOf(recorded + i * size, size));
      recorded += commits * size;
      return timed(() => {
        for (const batch of batches) record.commit(batch);
      });
    },
    flat: () =>
      timed(() => {
        for (let i = 0; i < commits; i++, written += size) flat.append(written, size);
      }),
  });
  return [
    {
      name: `commit of ${size} readings × ${COLUMNS.length}, on the disk`,
      unit: 'ms',
      value: median(taken.record) / commits,
      floor: median(taken.flat) / commits,
      floorIs: 'append to a flat file and flush it',
      samples: `${LIVE_COMMITS} commits, ${LIVE_ROUNDS} rounds`,
    },
  ];
}

async function restOfYear(record: OpenedRecord, flat: FlatFile): Promise<Figure[]> {
  let [recorded, written] = [LIVE_READINGS, LIVE_READINGS];
  const rounds = Math.ceil((MINUTES_A_YEAR - LIVE_READINGS) / IMPORT_BATCH);
  const sizeAt = (from: number) => Math.min(IMPORT_BATCH, MINUTES_A_YEAR - from);
  const taken = await takeTurns(rounds, {
    record() {
      const batch = batchOf(recorded, sizeAt(recorded));
      recorded += batch.readings.length;
      return timed(() => record.commit(batch));
    },
    flat() {
      const size = sizeAt(written);
      const ms = timed(() => flat.append(written, size));
      written += size;
      return ms;
    },
  });
  return [
    {
      name: `commit of ${IMPORT_BATCH} readings × ${COLUMNS.length}`,
      unit: 'ms',
      value: median(taken.record),
      floor: median(taken.flat),
      floorIs: 'append to a flat file and flush it',
      samples: `${rounds} commits`,
      note: `${Math.round((IMPORT_BATCH * 1000) / median(taken.record))} readings a second`,
    },
  ];
}

async function question(
  record: OpenedRecord,
  flat: FlatFile,
  words: string,
  days: number,
  points: number,
): Promise<Figure> {
  const to = MINUTES_A_YEAR;
  const from = to - days * 1440;
  const at = (minute: number) => YEAR_STARTS_AT + minute * MINUTE_MS;
  const ask = { station: STATION, quantities: ASKED, fromMs: at(from), toMs: at(to), points };
  record.series(ask);
  const taken = await takeTurns(QUERY_ROUNDS, {
    record: () => timed(() => void record.series(ask)),
    flat: () => timed(() => void flat.series(ASKED_COLUMNS, from, to, points)),
  });
  return {
    name: `${words}, ${ASKED.length} quantities`,
    unit: 'ms',
    value: median(taken.record),
    floor: median(taken.flat),
    floorIs: 'one read of the flat file, minimum, mean and maximum by bucket',
    samples: `${QUERY_ROUNDS} times, warm`,
  };
}

const bytesIn = (dir: string): number =>
  readdirSync(dir, { recursive: true, withFileTypes: true })
    .filter(entry => entry.isFile())
    .reduce((sum, entry) => sum + statSync(join(entry.parentPath, entry.name)).size, 0);

export const store: Bench = {
  name: 'store',
  title: 'Record: one station, one reading a minute, eight quantities',
  async run(say) {
    const dir = mkdtempSync(join(tmpdir(), 'wattkeep-store-'));
    const data = join(dir, 'data');
    const flat = openFlatFile(join(dir, 'flat'));
    const options = { nowMs: () => YEAR_STARTS_AT, commitIntervalMs: 10_000 };
    const record = openRecord(data, options);
    try {
      say(`${LIVE_COMMITS} commits of each`);
      const live = await liveCommits(record, flat);
      say('the rest of a year');
      const bulk = await restOfYear(record, flat);
      record.close();
      const onDisk: Figure = {
        name: 'on the disk, a year',
        unit: 'B/sample',
        value: bytesIn(data) / (MINUTES_A_YEAR * COLUMNS.length),
        floor: squeezedBytesPerSample(SQUEEZED_MINUTES),
        floorIs: 'a month of the same numbers under brotli 11, nothing to ask questions of',
        samples: `${(bytesIn(data) / 1e6).toFixed(1)} MB`,
      };
      const again = openRecord(data, options);
      const asked = [
        await question(again, flat, 'a day by the minute', 1, 1440),
        await question(again, flat, '90 days by the quarter-hour', 90, 90 * 96),
        await question(again, flat, 'a year by the day', 365, 365),
      ];
      again.close();
      return [...live, ...bulk, onDisk, ...asked];
    } finally {
      record.close();
      flat.close();
      rmSync(dir, { recursive: true, force: true });
    }
  },
};
