/**
 * The simulated station shown before there is a real one: its facts, its plausible past and the program that prints its
 * present. The agent knows the program only by its output, the same road as a station of an owner's own; where its
 * panels are to be carried stands in a small file that the program looks at.
 */
import { spawn } from 'node:child_process';
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';
import * as v from 'valibot';
import { WattkeepError } from '#kit';
import { type Fact, presumingZones, StationSettings, type TariffSettings } from '#messages';
import { planeKey, STANDING, standingJson } from '../../derive/standing.ts';
import type { OpenedRecord } from '../../store/open.ts';
import { newId } from '../surroundings.ts';
import { takeRecording } from '../take-recording.ts';
import { factsOf } from './station-facts.ts';

export const DEMO_ID = 'honey-shed';
const PAST_DAYS = 21;
const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;

/** The spots of the yard, as the program prints them: the past began at the first, and went on at others. */
const Yard = v.object({
  spots: v.array(v.object({ id: v.string(), name: v.string(), tiltDeg: v.number(), azimuthDeg: v.number() })),
  stays: v.array(v.object({ spot: v.string(), fromMs: v.number() })),
});

/** Invented like the station itself: cheaper at the weekend, when little is asked for. */
const TARIFF: TariffSettings = {
  perKWh: 0.34,
  currency: 'EUR',
  hours: [{ days: ['sat', 'sun'], fromHour: 0, toHour: 24, perKWh: 0.27 }],
};

export interface Demo {
  readonly station: StationSettings;
  /** What a kilowatt-hour costs where it stands. */
  readonly tariff: TariffSettings;
  /** Has the panels carried to a spot; they stand there some 20 s later. */
  carry(spot: string): void;
}

/**
 * The simulated station over its own record; a record without a past is given one first.
 *
 * @param program the simulator's built entry
 * @param dir folder of the record
 * @param machineZone settles once the rules of zones are known
 */
export async function openDemo(
  program: string,
  dir: string,
  record: OpenedRecord,
  nowMs: number,
  machineZone: Promise<string>,
): Promise<Demo> {
  const born = record.extent(DEMO_ID)?.fromMs ?? nowMs - PAST_DAYS * DAY_MS;
  // Present and past are one life: both begin at the same midnight.
  const since = new Date(Math.floor(born / DAY_MS) * DAY_MS).toISOString();
  const [facts, spots, past] = await Promise.all([
    printed(program, ['--describe', '--since', since]),
    record.spots(DEMO_ID).length === 0 ? printed(program, ['--spots', '--since', since]) : null,
    record.extent(DEMO_ID) === null ? printPast(program, since, nowMs) : null,
  ]);
  const spotFile = join(dir, 'spot');
  const described = {
    ...(JSON.parse(facts) as object),
    id: DEMO_ID,
    adapter: 'lines',
    transport: {
      kind: 'process',
      command: [process.execPath, program, '--since', since, '--spot-file', spotFile, '--parent', String(process.pid)],
    },
  };
  // Its zone is the one this computer just told the simulator.
  const station = presumingZones(() => v.parse(StationSettings, described));
  if (past !== null) {
    const { parseRecording } = await import('../../exchange/read-recording.ts');
    const { readings } = parseRecording(past, { station: DEMO_ID, session: newId() });
    takeRecording(readings, factsOf(station, MINUTE_MS, await machineZone), record, null);
  }
  if (spots !== null) nameSpots(record, v.parse(Yard, JSON.parse(spots)), Math.floor(born), nowMs);
  return { station, tariff: TARIFF, carry: spot => writeFileSync(spotFile, `${spot}\n`) };
}

/** The yard's spots as their owner would have told them; a disk that takes nothing goes without. */
function nameSpots(
  record: OpenedRecord,
  { spots, stays }: v.InferOutput<typeof Yard>,
  bornMs: number,
  nowMs: number,
): void {
  if (record.savedState().trouble !== null) return;
  const fact = (key: string, valueJson: string | null, validFromMs = bornMs): Fact => ({
    station: DEMO_ID,
    key,
    valueJson,
    validFromMs,
  });
  const past = stays.filter(({ fromMs }) => fromMs > bornMs && fromMs <= nowMs);
  record.commit({
    readings: [],
    days: [],
    cursors: [],
    outages: [],
    spans: [],
    facts: [
      fact(STANDING, standingJson(spots[0]!.id)),
      ...past.map(({ spot, fromMs }) => fact(STANDING, standingJson(spot), fromMs)),
      ...spots.map(({ id, tiltDeg, azimuthDeg }) => fact(planeKey(id), JSON.stringify({ tiltDeg, azimuthDeg }))),
    ],
    spots: spots.map(({ id, name }) => ({ station: DEMO_ID, id, name, note: '', removedAt: null })),
  });
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
