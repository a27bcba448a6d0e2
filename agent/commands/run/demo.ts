/**
 * The simulated station shown before there is a real one: its facts, its plausible past (made by a process of its own) and
 * the program that prints its present. The agent knows the program only by its output, the same road as a station of an
 * owner's own; where its panels are to be carried stands in a small file that the program looks at.
 */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import * as v from 'valibot';
import type { Fact, StationSettings, TariffSettings } from '#messages';
import { planeKey, STANDING, standingJson } from '../../derive/standing.ts';
import type { OpenedRecord } from '../../store/open.ts';
import { beginOrder } from './child-order.ts';
import type { DemoAnswer, DemoOrder } from './demo-child.ts';
import { DEMO_ID, describedDemo, lifeSince, printed } from './demo-printed.ts';
import { errorFrom } from './reading/failed.ts';

const programOf = (dist: string) => join(dist, 'simulators', 'run.js');

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

/** Gives a record that is open nowhere its past. Throws WattkeepError where it cannot be written. */
export async function givePast(dist: string, order: Omit<DemoOrder, 'program'>): Promise<void> {
  const entry = join(dist, 'agent', 'commands', 'run', 'demo-child.js');
  const answer = await beginOrder<DemoAnswer>(entry, { program: programOf(dist), ...order }).answer;
  if ('failed' in answer) throw errorFrom(answer.failed);
}

/**
 * The simulated station over its own record, which has a past.
 *
 * @param dist root of the built program
 * @param dir folder of the record
 */
export async function openDemo(dist: string, dir: string, record: OpenedRecord, nowMs: number): Promise<Demo> {
  const program = programOf(dist);
  const born = record.extent(DEMO_ID)?.fromMs ?? nowMs;
  const since = lifeSince(born);
  const spotFile = join(dir, 'spot');
  const parent = String(process.pid);
  const command = [process.execPath, program, '--since', since, '--spot-file', spotFile, '--parent', parent];
  const [station, spots] = await Promise.all([
    describedDemo(program, since, command),
    record.spots(DEMO_ID).length === 0 ? printed(program, ['--spots', '--since', since]) : null,
  ]);
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
