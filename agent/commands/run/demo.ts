/**
 * The simulated station shown before there is a real one: its facts, its plausible past and the program that prints its
 * present. The agent knows the program only by its output, the same road as a station of an owner's own.
 */
import { spawn } from 'node:child_process';
import { text } from 'node:stream/consumers';
import * as v from 'valibot';
import { WattkeepError } from '#kit';
import { presumingZones, StationSettings } from '#messages';
import type { OpenedRecord } from '../../store/open.ts';
import { newId } from '../surroundings.ts';
import { takeRecording } from '../take-recording.ts';
import { factsOf } from './station-facts.ts';

export const DEMO_ID = 'honey-shed';
const PAST_DAYS = 21;
const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/**
 * The simulated station over its own record; a record without a past is given one first.
 *
 * @param program the simulator's built entry
 * @param machineZone settles once the rules of zones are known
 */
export async function openDemo(
  program: string,
  record: OpenedRecord,
  nowMs: number,
  machineZone: Promise<string>,
): Promise<StationSettings> {
  const born = record.extent(DEMO_ID)?.fromMs ?? nowMs - PAST_DAYS * DAY_MS;
  // Present and past are one life: both begin at the same midnight.
  const since = new Date(Math.floor(born / DAY_MS) * DAY_MS).toISOString();
  const [facts, past] = await Promise.all([
    printed(program, ['--describe', '--since', since]),
    record.extent(DEMO_ID) === null ? printPast(program, since, nowMs) : null,
  ]);
  const described = {
    ...(JSON.parse(facts) as object),
    id: DEMO_ID,
    adapter: 'lines',
    transport: {
      kind: 'process',
      command: [process.execPath, program, '--since', since, '--parent', String(process.pid)],
    },
  };
  // Its zone is the one this computer just told the simulator.
  const station = presumingZones(() => v.parse(StationSettings, described));
  if (past !== null) {
    const { parseRecording } = await import('../../exchange/read-recording.ts');
    const { readings } = parseRecording(past, { station: DEMO_ID, session: newId() });
    takeRecording(readings, factsOf(station, MINUTE_MS, await machineZone), record, null);
  }
  return station;
}

const printPast = (program: string, since: string, untilMs: number) =>
  printed(program, ['--history', String(PAST_DAYS), '--until', new Date(untilMs).toISOString(), '--since', since]);

async function printed(program: string, args: readonly string[]): Promise<string> {
  const child = spawn(process.execPath, [program, ...args], { stdio: ['ignore', 'pipe', 'pipe'] });
  const ended = new Promise<number | null>((resolve, reject) => {
    child.once('error', reject);
    child.once('close', resolve);
  });
  const [out, complaint, status] = await Promise.all([text(child.stdout), text(child.stderr), ended]);
  if (status !== 0)
    throw new WattkeepError(
      'INTERNAL',
      `The simulated station did not start: ${complaint.trim().split('\n')[0] ?? ''}`,
      'Run with --no-demo to start without it.',
    );
  return out;
}
