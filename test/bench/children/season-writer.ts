/**
 * Writes a stretch of a simulated day as fast as it goes, every commit flushed, and tells how many bytes this process sent
 * to the disk meanwhile. Arguments: `record` or `wide`, folder, seconds between commits, seconds in all.
 */
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import type { DayDelta } from '#messages';
import { openRecord } from '../../../agent/store/open.ts';
import { DAY_MS, DAY_S, readingsOf, STARTS_AT, STATION } from '../season-data.ts';
import { openWideRows } from '../wide-rows.ts';

const [way, dir, every, lasts] = [process.argv[2], process.argv[3]!, Number(process.argv[4]), Number(process.argv[5])];
/** In full sun. */
const FROM_S = 10 * 3600;

function written(): number {
  const found = /^write_bytes: (\d+)$/m.exec(readFileSync('/proc/self/io', 'utf8'));
  if (found === null) throw new Error('/proc/self/io tells no write_bytes');
  return Number(found[1]);
}

function day(seconds: number): DayDelta {
  return {
    station: STATION,
    date: '2025-01-01',
    zone: 'UTC',
    startMs: STARTS_AT,
    endMs: STARTS_AT + DAY_MS,
    solarMilliJ: seconds * 300_000,
    inputMilliJ: seconds * 300_000,
    outputMilliJ: seconds * 70_000,
    coveredMs: seconds * 1000,
    gapMs: 0,
    solarPeakW: 380,
    stateOfChargeMinPct: 40,
    stateOfChargeMaxPct: 90,
  };
}

function open(): { commit(fromS: number): void; close(): void } {
  if (way === 'wide') {
    const wide = openWideRows(join(dir, 'wide.db'));
    return { commit: fromS => wide.add(readingsOf(fromS, fromS + every, 'noisy')), close: () => wide.close() };
  }
  const record = openRecord(join(dir, 'data'), { nowMs: () => STARTS_AT, commitIntervalMs: every * 1000 });
  return {
    commit(fromS) {
      const readings = readingsOf(fromS, fromS + every, 'noisy');
      const last = readings.at(-1);
      if (last === undefined) return;
      const { session, seq, at } = last;
      record.commit({
        readings,
        days: [day(every)],
        cursors: [{ station: STATION, session, seq, at, inputSource: 'sun' }],
        outages: [],
        spans: [],
        facts: [],
      });
    },
    close: () => record.close(),
  };
}

const record = open();
// The first hour is opened before it is measured.
record.commit(FROM_S - every);
const before = written();
for (let second = FROM_S; second < FROM_S + lasts; second += every) record.commit(second);
const bytes = written() - before;
record.close();
console.log(JSON.stringify({ bytesADay: (bytes * DAY_S) / lasts }));
