/**
 * The record of a season: one station at 1 Hz with eight quantities. Room on the disk with all rollups, beside xz over the
 * bare columns and beside rows in SQLite; the questions of a season and of a day; an import; what a day of live commits
 * writes. A month by default, a year with --year; 90 days of quarter-hours come from a reading a minute.
 */
import { execFileSync } from 'node:child_process';
import { closeSync, mkdtempSync, openSync, readSync, rmSync, statfsSync, statSync, writeSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Reading } from '#kit';
import { type OpenedRecord, openRecord } from '../../agent/store/open.ts';
import { atMost, atMostTimes, type Bench, type Figure, unmeasured } from './figure.ts';
import { benchChild, hasProgram, ROOT } from './places.ts';
import { median, takeTurns } from './samples.ts';
import { COLUMNS, DAY_MS, DAY_S, type Kind, readingsOf, STARTS_AT, STATION, storedRow } from './season-data.ts';
import { openWideRows } from './wide-rows.ts';

const DAYS = process.argv.includes('--year') ? 365 : 30;
/** Noise takes ten times the room and says no more the longer it is. */
const NOISY_DAYS = Math.min(DAYS, 10);
const QUESTION_DAYS = 90;
const ROUNDS = 21;
const IMPORT_DAYS = 12;
const WIDE_DAYS = 2;
/** Seconds between commits, and how much of a day is written: the rest is taken to be like it. */
const RECORD_EVERY = [
  [10, 2 * 3600],
  [60, 6 * 3600],
] as const;
const WIDE_EVERY = [1, 1800] as const;
const GOAL_OF_WIDE = new Map([
  [10, 5],
  [60, 12],
]);
const EXT4 = 0xef53;
const ALL = COLUMNS.map(([key]) => key);

const plain = (readings: readonly Reading[]) => ({
  readings,
  days: [],
  cursors: [],
  outages: [],
  spans: [],
  facts: [],
});
const openFresh = (dir: string): OpenedRecord => openRecord(dir, { nowMs: () => STARTS_AT, commitIntervalMs: 10_000 });
const timed = (run: () => void): number => {
  const beganMs = performance.now();
  run();
  return performance.now() - beganMs;
};

/** Bytes of xz -9e over the columns, one after the other, each number as its difference in four bytes. */
function xzBytes(kind: Kind, days: number): number {
  const readings = Array.from({ length: days }, (_, day) => readingsOf(day * DAY_S, (day + 1) * DAY_S, kind)).flat();
  const columns = [
    readings.map(({ at }) => at - STARTS_AT),
    ...COLUMNS.map(([key, perUnit]) => readings.map(({ quantities }) => Math.round(quantities[key]! * perUnit))),
  ];
  const input = Buffer.concat(
    columns.map(column => Buffer.from(Int32Array.from(column, (value, i) => value - (column[i - 1] ?? 0)).buffer)),
  );
  return execFileSync('xz', ['-9e', '-c', '-T1'], { input, maxBuffer: 2 ** 30 }).length;
}

interface Filled {
  samples: number;
  bytes: number;
}

function fill(dir: string, kind: Kind, days: number): Filled {
  const record = openFresh(dir);
  let samples = 0;
  for (let day = 0; day < days; day++) {
    const readings = readingsOf(day * DAY_S, (day + 1) * DAY_S, kind);
    record.commit(plain(readings));
    samples += readings.length * COLUMNS.length;
  }
  record.close();
  return { samples, bytes: statSync(join(dir, 'record.db')).size };
}

function wideBytesPerSample(path: string): number {
  const wide = openWideRows(path);
  for (let day = 0; day < WIDE_DAYS; day++) wide.add(readingsOf(day * DAY_S, (day + 1) * DAY_S, 'smooth'));
  wide.rollUp();
  wide.close();
  return statSync(path).size / (WIDE_DAYS * DAY_S * COLUMNS.length);
}

function room(dir: string, kind: Kind, days: number): Figure[] {
  const { samples, bytes } = fill(join(dir, kind), kind, days);
  const value = bytes / samples;
  const told = { unit: 'B/sample', value, samples: `${days} days, ${(bytes / 1e6).toFixed(1)} MB` };
  const figures: Figure[] = [];
  if (!hasProgram('xz')) figures.push({ ...told, name: `${kind} data with all rollups`, note: 'xz is not installed' });
  else {
    const xzDays = Math.min(days, 10);
    const floor = xzBytes(kind, xzDays) / ((samples / days) * xzDays);
    figures.push({
      ...told,
      name: `${kind} data with all rollups`,
      floor,
      floorIs: `xz -9e over ${xzDays} days of the bare columns as differences, nothing to ask questions of`,
      goal: atMostTimes(1.6, floor),
    });
  }
  if (kind === 'noisy') return figures;
  const floor = wideBytesPerSample(join(dir, 'wide-room.db'));
  figures.push({
    ...told,
    name: 'smooth data beside rows',
    floor,
    floorIs: 'SQLite, a row a reading and a row a quarter-hour',
    goal: atMost(floor / 10, '≤ 1/10 of floor'),
  });
  return figures;
}

async function quarters(dir: string): Promise<Figure> {
  const readings = readingsOf(0, QUESTION_DAYS * DAY_S, 'smooth', 60);
  const record = openFresh(join(dir, 'quarters'));
  const wide = openWideRows(join(dir, 'wide-quarters.db'));
  for (let from = 0; from < readings.length; from += 1440 * 16) {
    record.commit(plain(readings.slice(from, from + 1440 * 16)));
    wide.add(readings.slice(from, from + 1440 * 16));
  }
  wide.rollUp();
  const [fromMs, toMs] = [STARTS_AT, STARTS_AT + QUESTION_DAYS * DAY_MS];
  const ask = { station: STATION, quantities: ALL, fromMs, toMs, points: QUESTION_DAYS * 96 };
  const taken = await takeTurns(ROUNDS, {
    record: () => timed(() => void record.series(ask)),
    wide: () => timed(() => void wide.quarters(ALL, fromMs, toMs)),
  });
  record.close();
  wide.close();
  const floor = median(taken.wide);
  return {
    name: `90 days by the quarter-hour, ${ALL.length} quantities`,
    unit: 'ms',
    value: median(taken.record),
    floor,
    floorIs: 'SQLite, a row a quarter-hour',
    goal: atMost(floor / 5, '≤ 1/5 of floor'),
    samples: `${ROUNDS} times, warm`,
  };
}

const ROW_NUMBERS = COLUMNS.length + 1;

/** One day in a flat file of whole numbers, the instant first: read at once, least, mean and greatest by bucket. */
function openFlatDay(path: string): { series(buckets: number): Float64Array[]; close(): void } {
  const fd = openSync(path, 'w+');
  const rows = new Int32Array(DAY_S * ROW_NUMBERS);
  for (let second = 0; second < DAY_S; second++)
    rows.set([second * 1000, ...storedRow(second, 'smooth')], second * ROW_NUMBERS);
  writeSync(fd, new Uint8Array(rows.buffer));
  return {
    series(buckets) {
      const read = new Int32Array(DAY_S * ROW_NUMBERS);
      readSync(fd, new Uint8Array(read.buffer), 0, read.byteLength, 0);
      return COLUMNS.map((_, column) => bucketsOf(read, column + 1, buckets));
    },
    close: () => closeSync(fd),
  };
}

function bucketsOf(rows: Int32Array, column: number, buckets: number): Float64Array {
  const [out, counts] = [new Float64Array(buckets * 3), new Float64Array(buckets)];
  for (let row = 0; row < DAY_S; row++) {
    const bucket = Math.floor((rows[row * ROW_NUMBERS]! / DAY_MS) * buckets);
    const value = rows[row * ROW_NUMBERS + column]!;
    const place = bucket * 3;
    if (counts[bucket] === 0 || value < out[place]!) out[place] = value;
    if (counts[bucket] === 0 || value > out[place + 2]!) out[place + 2] = value;
    out[place + 1] = out[place + 1]! + value;
    counts[bucket] = counts[bucket]! + 1;
  }
  for (let bucket = 0; bucket < buckets; bucket++) out[bucket * 3 + 1] = out[bucket * 3 + 1]! / counts[bucket]!;
  return out;
}

async function rawDay(dir: string): Promise<Figure> {
  const record = openFresh(join(dir, 'smooth'));
  const flat = openFlatDay(join(dir, 'flat-day'));
  const points = DAY_S / 10;
  const ask = { station: STATION, quantities: ALL, fromMs: STARTS_AT, toMs: STARTS_AT + DAY_MS, points };
  const taken = await takeTurns(ROUNDS, {
    record: () => timed(() => void record.series(ask)),
    flat: () => timed(() => void flat.series(points)),
  });
  record.close();
  flat.close();
  const floor = median(taken.flat);
  return {
    name: `a raw day in ${points} points, ${ALL.length} quantities`,
    unit: 'ms',
    value: median(taken.record),
    floor,
    floorIs: 'one read of a flat file of whole numbers, the same buckets',
    goal: atMostTimes(1.5, floor),
    samples: `${ROUNDS} times, warm`,
  };
}

/** Day after day, the same readings moved on: what makes them must cost nothing between two turns. */
async function importing(dir: string, kind: Kind): Promise<Figure> {
  const readings = readingsOf(0, DAY_S, kind);
  const record = openFresh(join(dir, `import-${kind}`));
  const wide = openWideRows(join(dir, `wide-import-${kind}.db`));
  const moved = { record: 0, wide: 0 };
  const move = (to: number, from: number) => {
    for (const reading of readings) {
      reading.at += (to - from) * DAY_MS;
      reading.monoMs += (to - from) * DAY_MS;
      reading.seq += (to - from) * DAY_S;
    }
  };
  let at = 0;
  const next = (way: keyof typeof moved) => {
    move(moved[way], at);
    at = moved[way]++;
  };
  const taken = await takeTurns(IMPORT_DAYS, {
    record() {
      next('record');
      return timed(() => record.commit(plain(readings)));
    },
    wide() {
      next('wide');
      return timed(() => wide.add(readings));
    },
  });
  record.close();
  wide.close();
  const [value, floor] = [median(taken.record), median(taken.wide)];
  return {
    name: `import of a day with all rollups, ${kind}`,
    unit: 'ms',
    value,
    floor,
    floorIs: 'SQLite, a row a reading, no rollups, one transaction a day',
    goal: atMost(floor / 3, '≤ 1/3 of floor'),
    samples: `${IMPORT_DAYS} days of ${readings.length} readings`,
    note: `${Math.round((readings.length * 1000) / value)} readings a second`,
  };
}

/** A folder whose bytes reach a disk; null where there is none. */
const onDisk = (): string | null => [tmpdir(), ROOT].find(dir => statfsSync(dir).type === EXT4) ?? null;

function writtenADay(base: string, way: 'record' | 'wide', everyS: number, lastsS: number): number {
  const dir = mkdtempSync(join(base, 'wattkeep-written-'));
  try {
    const told = execFileSync(
      process.execPath,
      [benchChild('season-writer'), way, dir, String(everyS), String(lastsS)],
      { encoding: 'utf8' },
    );
    return (JSON.parse(told) as { bytesADay: number }).bytesADay;
  } finally {
    rmSync(dir, { recursive: true, force: true });
  }
}

function written(say: (line: string) => void): Figure[] {
  const base = onDisk();
  if (base === null) return [unmeasured('bytes written a day', 'no folder on ext4')];
  say('commits of rows, one a second');
  const floor = writtenADay(base, 'wide', ...WIDE_EVERY);
  return RECORD_EVERY.map(([everyS, lastsS]): Figure => {
    say(`commits every ${everyS} s`);
    const part = GOAL_OF_WIDE.get(everyS)!;
    return {
      name: `written a day, saved every ${everyS} s`,
      unit: 'MB',
      value: writtenADay(base, 'record', everyS, lastsS) / 1e6,
      floor: floor / 1e6,
      floorIs: 'SQLite, WAL, FULL, a row committed each second (half an hour, scaled)',
      goal: atMost(floor / 1e6 / part, `≤ 1/${part} of floor`),
      samples: `${lastsS / 3600} h, scaled`,
    };
  });
}

export const season: Bench = {
  name: 'season',
  title: `Record of a season: one station at 1 Hz, eight quantities, ${DAYS} days`,
  async run(say) {
    const dir = mkdtempSync(join(tmpdir(), 'wattkeep-season-'));
    try {
      say(`${DAYS} smooth days, and xz`);
      const smooth = room(dir, 'smooth', DAYS);
      say(`${NOISY_DAYS} noisy days, and xz`);
      const noisy = room(dir, 'noisy', NOISY_DAYS);
      say('questions');
      const asked = [await quarters(dir), await rawDay(dir)];
      say('imports');
      const imported = [await importing(dir, 'smooth'), await importing(dir, 'noisy')];
      return [...smooth, ...noisy, ...asked, ...imported, ...written(say)];
    } finally {
      rmSync(dir, { recursive: true, force: true });
    }
  },
};
