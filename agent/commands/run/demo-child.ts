/**
 * Entry file of a short-lived process that gives the simulated station its past before the agent opens the record: three
 * weeks of minutes, whose parsing and learning would stay with the agent as memory.
 */
import { readFileSync } from 'node:fs';
import { parseRecording } from '../../exchange/read-recording.ts';
import { openRecord } from '../../store/open.ts';
import { newId } from '../surroundings.ts';
import { takeRecording } from '../take-recording.ts';
import { answerOrder, type FailedOrder } from './child-order.ts';
import { DEMO_ID, DEMO_PAST_DAYS, describedDemo, lifeSince, printed } from './demo-printed.ts';
import { factsOf } from './station-facts.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

export interface DemoOrder {
  /** The simulator's built entry. */
  program: string;
  /** Folder of the record. */
  dir: string;
  /** UTC epoch ms. */
  nowMs: number;
  /** IANA zone of this computer. */
  machineZone: string;
}

export type DemoAnswer = { readings: number } | FailedOrder;

async function givePast({ program, dir, nowMs, machineZone }: DemoOrder): Promise<{ readings: number }> {
  const since = lifeSince(nowMs - DEMO_PAST_DAYS * DAY_MS);
  const until = new Date(nowMs).toISOString();
  const [station, past] = await Promise.all([
    describedDemo(program, since, [program]),
    printed(program, ['--history', String(DEMO_PAST_DAYS), '--until', until, '--since', since]),
  ]);
  const { readings } = parseRecording(past, { station: DEMO_ID, session: newId() });
  const record = openRecord(dir, { nowMs: () => nowMs, commitIntervalMs: 0, demo: true });
  try {
    takeRecording(readings, factsOf(station, MINUTE_MS, machineZone), record, null);
  } finally {
    record.close();
  }
  return { readings: readings.length };
}

const order = JSON.parse(readFileSync(0, 'utf8')) as DemoOrder;
process.stdout.write(JSON.stringify(await answerOrder(() => givePast(order))));
