/**
 * Entry file of a short-lived process that does to a record what takes long or much memory: it is told its order on
 * stdin and prints its answer as JSON. A check reads every page beside a running agent; a rescue makes a fresh record
 * of a damaged one before the agent opens it.
 */
import { readFileSync } from 'node:fs';
import { constants, setPriority } from 'node:os';
import type { Rescued } from '../../store/keep/damage.ts';
import { rescueRecord } from '../../store/keep/rescue.ts';
import { openRecord } from '../../store/open.ts';
import { countLostDays } from '../lost-days.ts';
import { answerOrder, type FailedOrder } from './child-order.ts';

export interface RecordOrder {
  act: 'check' | 'rescue';
  /** Folder of the record. */
  dir: string;
  demo: boolean;
  /** UTC epoch ms. */
  nowMs: number;
  /** Of the settings. */
  stations: { id: string; zone: string }[];
}

export type RecordAnswer = { findings: string[] } | { rescued: Rescued; daysCounted: number } | FailedOrder;

function answer({ act, dir, demo, nowMs, stations }: RecordOrder): Exclude<RecordAnswer, FailedOrder> {
  const options = { nowMs: () => nowMs, commitIntervalMs: 0, demo };
  if (act === 'check') {
    setPriority(constants.priority.PRIORITY_LOW);
    const record = openRecord(dir, { ...options, readOnly: true });
    const findings = record.check();
    record.close();
    return { findings };
  }
  const rescued = rescueRecord(
    dir,
    stations.map(s => s.id),
    nowMs,
  );
  const record = openRecord(dir, options);
  let daysCounted = 0;
  for (const station of record.stations())
    daysCounted += countLostDays(record, station, stations.find(s => s.id === station)?.zone ?? 'UTC');
  record.close();
  return { rescued, daysCounted };
}

const order = JSON.parse(readFileSync(0, 'utf8')) as RecordOrder;
process.stdout.write(JSON.stringify(await answerOrder(() => answer(order))));
