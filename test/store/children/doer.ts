/**
 * One piece of work on a record, from its start to its end, to be killed on the way. Arguments: folder, work, now (epoch
 * ms). `open`: opened and closed; `tend`: seals made and checked, raw readings of more than a week let go; `snapshot`:
 * into a file of that name beside the record; `older`: readings of two days before; `rescue`: what is damaged put aside
 * and read out.
 */
import { join } from 'node:path';
import type { Reading } from '#kit';
import type { DayDelta } from '#messages';
import { rescueRecord } from '../../../agent/store/keep/rescue.ts';
import { snapshotRecord } from '../../../agent/store/keep/snapshot-record.ts';
import { type OpenedRecord, openRecord } from '../../../agent/store/open.ts';
import { scriptedBatch } from './scripted.ts';

const [dir, work, nowMs] = [process.argv[2]!, process.argv[3]!, Number(process.argv[4])];
const DAY_MS = 86_400_000;

function onRecord(act: (record: OpenedRecord) => void): void {
  const record = openRecord(dir, { nowMs: () => nowMs, commitIntervalMs: 10_000, keepRawDays: () => 7 });
  act(record);
  record.close();
}

function addOlder(record: OpenedRecord): void {
  const firstAt = record.extent('shed')!.fromMs;
  const readings: Reading[] = [];
  const days: DayDelta[] = [];
  let next = { seq: 1, at: firstAt - 2 * DAY_MS };
  while (next.at < firstAt - DAY_MS / 2) {
    const { batch, next: then } = scriptedBatch('older', next.seq, next.at, 1);
    readings.push(...batch.readings);
    days.push(...batch.days);
    next = then;
  }
  record.insertOlder({ station: 'shed', readings, days, spans: [], outages: [], gap: null });
}

if (work === 'open') onRecord(() => undefined);
else if (work === 'tend') onRecord(record => void Array.from({ length: 30 }, () => record.upkeep()));
else if (work === 'older') onRecord(addOlder);
else if (work === 'snapshot') snapshotRecord(dir, join(dir, 'snapshot'), { atMs: nowMs, program: '0.1.0' });
else rescueRecord(dir, ['shed'], nowMs);
