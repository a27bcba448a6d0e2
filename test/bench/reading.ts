/**
 * Reading beside saving: how late commits come to their end while the record is exported and the Ledger of its year asked
 * again and again, beside nothing of that; what the process that reads takes of memory, and how fast files come. The
 * record: a year of minutes of which the last 90 days, as many as are kept by default, are recorded by the second, eight quantities.
 */
import { mkdtempSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { Reading } from '#kit';
import { createReadingDesk, type ReadingDesk } from '../../agent/commands/run/reading/desk.ts';
import type { Asked } from '../../agent/commands/run/reading/order.ts';
import { timers } from '../../agent/commands/surroundings.ts';
import { type OpenedRecord, openRecord } from '../../agent/store/open.ts';
import { built } from '../support/built.ts';
import { atMost, type Bench, type Figure } from './figure.ts';
import { MINUTE_MS, MINUTES_A_YEAR, readingAt, STATION, YEAR_STARTS_AT } from './recorded-year.ts';
import { median, quantile } from './samples.ts';

/** As many as are kept by default. */
const SECONDS_DAYS = 90;
const SECONDS = SECONDS_DAYS * 86_400;
const MINUTES = MINUTES_A_YEAR - SECONDS_DAYS * 1440;
const SECONDS_START_AT = YEAR_STARTS_AT + MINUTES * MINUTE_MS;
const YEAR_ENDS_AT = YEAR_STARTS_AT + MINUTES_A_YEAR * MINUTE_MS;
const DAY_MS = 86_400_000;
const DAYS_A_YEAR = 365;

/** A commit interval a hundred times shorter than in life: the same work, more often. */
const COMMIT_EVERY_MS = 100;
const READINGS_A_COMMIT = 10;
const IDLE_MS = 10_000;
const BESIDE_MS = 30_000;
const COMMIT_DELAY_MAX_MS = 1_000;
const CHILD_MAX_MB = 256;
const WAL_MAX_MB = 64;

const PANEL = { ratedW: 400, tiltDeg: 30, azimuthDeg: 180 };
const PLACE = { latitudeDeg: 45.5, longitudeDeg: 9 };

/** Those of a second differ from the minute's in the last digits. */
function readingOfSecond(second: number): Reading {
  const reading = readingAt(MINUTES + Math.floor(second / 60));
  const { inputPowerW, outputPowerW } = reading.quantities;
  const moves = ((second * 7919) % 97) / 10;
  return {
    ...reading,
    session: 's2',
    seq: second + 1,
    monoMs: second * 1000,
    at: SECONDS_START_AT + second * 1000,
    quantities: {
      ...reading.quantities,
      inputPowerW: inputPowerW === 0 ? 0 : inputPowerW! + moves,
      outputPowerW: outputPowerW! + moves,
    },
  };
}

/** A day at a time, with the sums of a day; the follower's work is no part of this bench. */
function recordYear(dir: string): void {
  const record = openRecord(dir, { nowMs: () => YEAR_ENDS_AT, commitIntervalMs: 0 });
  const bare = { cursors: [], outages: [], spans: [], facts: [] };
  for (let day = 0; day < DAYS_A_YEAR; day++) {
    const bySecond = day - (DAYS_A_YEAR - SECONDS_DAYS);
    const [count, stepMs] = bySecond < 0 ? [1440, MINUTE_MS] : [86_400, 1000];
    const readings = Array.from({ length: count }, (_, i) =>
      bySecond < 0 ? readingAt(day * count + i) : readingOfSecond(bySecond * count + i),
    );
    const sum = (key: 'inputPowerW' | 'outputPowerW') =>
      Math.round(readings.reduce((all, { quantities }) => all + (quantities[key] ?? 0) * stepMs, 0));
    const startMs = YEAR_STARTS_AT + day * DAY_MS;
    const totals = {
      station: STATION,
      date: new Date(startMs).toISOString().slice(0, 10),
      zone: 'UTC',
      startMs,
      endMs: startMs + DAY_MS,
      solarMilliJ: sum('inputPowerW'),
      inputMilliJ: sum('inputPowerW'),
      outputMilliJ: sum('outputPowerW'),
      coveredMs: DAY_MS,
      gapMs: 0,
      solarPeakW: 380,
      stateOfChargeMinPct: 20,
      stateOfChargeMaxPct: 90,
    };
    record.commit({ ...bare, readings, days: [totals] });
  }
  const fact = (key: string, value: unknown) => ({
    station: STATION,
    key,
    valueJson: JSON.stringify(value),
    validFromMs: YEAR_STARTS_AT,
  });
  const facts = [fact('panel', [{ name: 'folding', count: 1, ...PANEL }]), fact('place', PLACE)];
  record.commit({ ...bare, readings: [], days: [], facts });
  record.close();
}

/** Commits of another station until it is stopped; gives how late each came to its end, ms. */
function keepCommitting(record: OpenedRecord): () => number[] {
  const late: number[] = [];
  const beganMs = performance.now();
  let commits = 0;
  let timer: NodeJS.Timeout;
  const from = record.latest('attic')?.seq ?? 0;
  const next = () => {
    const readings = Array.from({ length: READINGS_A_COMMIT }, (_, i) => {
      const seq = from + commits * READINGS_A_COMMIT + i + 1;
      return { ...readingAt(seq), station: 'attic', session: 'a', seq, at: YEAR_ENDS_AT + seq * 1000 };
    });
    const { session, seq, at } = readings.at(-1)!;
    const cursors = [{ station: 'attic', session, seq, at, inputSource: 'sun' as const }];
    record.commit({ readings, days: [], cursors, outages: [], spans: [], facts: [] });
    commits++;
    late.push(performance.now() - (beganMs + commits * COMMIT_EVERY_MS));
    timer = setTimeout(next, Math.max(0, beganMs + (commits + 1) * COMMIT_EVERY_MS - performance.now()));
  };
  timer = setTimeout(next, COMMIT_EVERY_MS);
  return () => {
    clearTimeout(timer);
    return late;
  };
}

interface Beside {
  dir: string;
  desk: ReadingDesk;
}

const ask = ({ dir, desk }: Beside, asked: Asked) => desk.ask({ dir, demo: false, nowMs: YEAR_ENDS_AT, asked });
const recording = (format: 'csv' | 'parquet'): Asked => ({
  what: 'recording',
  format,
  station: STATION,
  fromMs: 0,
  toMs: YEAR_ENDS_AT,
  zone: 'Europe/Berlin',
  version: '0',
});
const LEDGER: Asked = { what: 'ledger', station: STATION, zone: 'UTC', from: '2025-01-01', to: '2025-12-31' };

async function drain(answer: AsyncIterable<Uint8Array>): Promise<{ ms: number; bytes: number }> {
  const beganMs = performance.now();
  let bytes = 0;
  for await (const piece of answer) bytes += piece.length;
  return { ms: performance.now() - beganMs, bytes };
}

/** For a while: the record as a file again and again, the Ledger again and again, and one who takes a piece a second. */
async function readOn(beside: Beside): Promise<number[]> {
  const untilMs = performance.now() + BESIDE_MS;
  const goesOn = () => performance.now() < untilMs;
  const ledgers: number[] = [];
  const slow = ask(beside, recording('csv'));
  const asking = async () => {
    while (goesOn()) ledgers.push((await drain(ask(beside, LEDGER))).ms);
  };
  const exporting = async () => {
    while (goesOn()) for await (const _ of ask(beside, recording('csv'))) if (!goesOn()) break;
  };
  const taking = async () => {
    while (goesOn() && (await slow.next()).done !== true) await new Promise(resolve => setTimeout(resolve, 1_000));
    await slow.return?.();
  };
  await Promise.all([asking(), exporting(), taking()]);
  return ledgers;
}

/** Memory of the process that reads at its greatest, MB. */
function peakMB({ desk }: Beside): number {
  const status = readFileSync(`/proc/${desk.pids[0]}/status`, 'utf8');
  return Number(/VmHWM:\s+(\d+) kB/.exec(status)?.[1] ?? Number.NaN) / 1024;
}

const rate = ({ ms, bytes }: { ms: number; bytes: number }) =>
  `${Math.round(((MINUTES + SECONDS) / ms) * 1000)} rows/s, ${(bytes / 1e6).toFixed(0)} MB`;

async function measure(dir: string, say: (line: string) => void): Promise<Figure[]> {
  say(`a year, ${MINUTES + SECONDS} readings`);
  recordYear(dir);
  const record = openRecord(dir, { nowMs: () => YEAR_ENDS_AT, commitIntervalMs: 100 });
  const desk = createReadingDesk({
    entry: built('agent/commands/run/read-child.js'),
    timers,
    log: { error: (area, message, fields) => say(`${area}: ${message} ${JSON.stringify(fields)}`) },
  });
  const at = { dir, desk };
  try {
    say('nothing beside it');
    let stop = keepCommitting(record);
    await new Promise(resolve => setTimeout(resolve, IDLE_MS));
    const idle = stop();
    say('export and Ledger beside it');
    stop = keepCommitting(record);
    const ledgers = await readOn(at);
    const beside = stop();
    say('a year as CSV, then as Parquet');
    const csv = await drain(ask(at, recording('csv')));
    const afterCsvMB = peakMB(at);
    const parquet = await drain(ask(at, recording('parquet')));
    const floorIs = 'with nothing beside it';
    const delay = { unit: 'ms', floorIs, samples: `${beside.length} commits`, goal: atMost(COMMIT_DELAY_MAX_MS) };
    return [
      { ...delay, name: 'commit, 99 in 100 come within', value: quantile(beside, 0.99), floor: quantile(idle, 0.99) },
      { ...delay, name: 'commit, the latest', value: Math.max(...beside), floor: Math.max(...idle) },
      {
        name: 'Ledger of a year, exports beside it',
        unit: 'ms',
        value: median(ledgers),
        samples: `${ledgers.length} times`,
      },
      { name: 'a year as CSV', unit: 's', value: csv.ms / 1000, samples: rate(csv) },
      { name: 'a year as Parquet', unit: 's', value: parquet.ms / 1000, samples: rate(parquet) },
      {
        name: 'memory of the process that reads, at most',
        unit: 'MB',
        value: peakMB(at),
        goal: atMost(CHILD_MAX_MB),
        note: `after CSV ${afterCsvMB.toFixed(0)} MB`,
      },
      {
        name: 'write-ahead log afterwards',
        unit: 'MB',
        value: statSync(join(dir, 'record.db-wal')).size / 2 ** 20,
        goal: atMost(WAL_MAX_MB),
      },
    ];
  } finally {
    await desk.close();
    record.close();
  }
}

export const reading: Bench = {
  name: 'reading',
  title: `Reading beside saving: a year of minutes, ${SECONDS_DAYS} days of it by the second`,
  async run(say) {
    const dir = mkdtempSync(join(tmpdir(), 'wattkeep-reading-'));
    try {
      return await measure(join(dir, 'data'), say);
    } finally {
      rmSync(dir, { recursive: true, force: true });
    }
  },
};
