/** What the program of the simulated station prints of it: its facts, its spots, its past. */
import { spawn } from 'node:child_process';
import { text } from 'node:stream/consumers';
import * as v from 'valibot';
import { WattkeepError } from '#kit';
import { presumingZones, StationSettings } from '#messages';

export const DEMO_ID = 'honey-shed';
export const DEMO_PAST_DAYS = 21;
const DAY_MS = 86_400_000;

/** Present and past are one life: both begin at the same midnight. @param bornMs when its record begins */
export const lifeSince = (bornMs: number): string => new Date(Math.floor(bornMs / DAY_MS) * DAY_MS).toISOString();

/** @throws WattkeepError INTERNAL where it ends with a complaint */
export async function printed(program: string, args: readonly string[]): Promise<string> {
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

/** @param command prints its present */
export async function describedDemo(program: string, since: string, command: string[]): Promise<StationSettings> {
  const facts = JSON.parse(await printed(program, ['--describe', '--since', since])) as object;
  const described = { ...facts, id: DEMO_ID, adapter: 'lines', transport: { kind: 'process', command } };
  // Its zone is the one this computer just told the simulator.
  return presumingZones(() => v.parse(StationSettings, described));
}
