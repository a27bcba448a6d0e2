/** What holds of a season that was lived through, however long. */
import { expect } from 'vitest';
import type { Checkpoint, Lived, LivedStation } from './season.ts';

const MILLIJ_PER_WH = 3_600_000;
/** The most that the port of the shed takes, W. */
const PORT_MAX_W = 400;
/** Recorded and delivered within a thousandth, and the ends of stretches: some watt-hours each (half a reading's time). */
const NEAR_SHARE = 0.001;
/** SQLite empties its log from 1000 pages on; one commit's pages come on top. */
const WAL_MAX_BYTES = 8 * 1024 * 1024;

const sumOf = (station: LivedStation, of: 'solarMilliJ' | 'outputMilliJ' | 'coveredMs' | 'gapMs') =>
  station.days.reduce((sum, day) => sum + day[of], 0);

function expectLedger(id: string, station: LivedStation): void {
  const { delivered, days, firstAt, lastAt } = station;
  const near = (recorded: number, truth: number, what: string) =>
    expect(Math.abs(recorded / truth - 1), `${what} of ${id}: ${recorded} of ${truth}`).toBeLessThan(NEAR_SHARE);
  near(sumOf(station, 'solarMilliJ') / MILLIJ_PER_WH, delivered.solarWh, 'harvest, Wh');
  near(sumOf(station, 'outputMilliJ') / MILLIJ_PER_WH, delivered.outputWh, 'output, Wh');
  near(sumOf(station, 'coveredMs'), delivered.coveredMs, 'covered time, ms');
  // From the first minute on record to the last reading, to the millisecond but for where in its minute the first lay.
  const elapsedMs = lastAt - firstAt;
  expect(Math.abs(sumOf(station, 'coveredMs') + sumOf(station, 'gapMs') - elapsedMs)).toBeLessThan(60_000);
  for (const day of days) {
    expect(day.coveredMs + day.gapMs).toBeLessThanOrEqual(day.endMs - day.startMs);
    expect(day.solarMilliJ).toBeLessThanOrEqual(PORT_MAX_W * day.coveredMs);
    expect([23, 24, 25]).toContain((day.endMs - day.startMs) / 3_600_000);
  }
  for (const [i, day] of days.entries()) if (i > 0) expect(day.startMs).toBe(days[i - 1]!.endMs);
}

/** @param mostCalls of all stations together; not judged where left out */
export function expectWholeSeason(lived: Lived, mostCalls = Number.POSITIVE_INFINITY): void {
  for (const [id, station] of Object.entries(lived.stations)) expectLedger(id, station);
  expect(lived.damage).toEqual([]);
  expect(lived.brokenSeals).toBe(0);
  expect(lived.walBytes).toBeLessThan(WAL_MAX_BYTES);
  // Whoever was read came to his floor with the alarm standing.
  expect(lived.floors.warned).toBe(lived.floors.reached);
  const calls = Object.values(lived.calls).reduce((sum, count) => sum + count, 0);
  expect(calls, JSON.stringify(lived.calls)).toBeLessThanOrEqual(mostCalls);
}

/** Growth allowed after the warm-up: of what is held, and of what is resident, which comes to rest far later. MB */
export interface MostGrowth {
  readonly heldMB: number;
  readonly residentMB: number;
}

/**
 * Memory does not grow by more than so much after the warm-up. Of the first and of the last third of what was seen since:
 * the middle of what JavaScript holds, and the least of what is resident, which swings with the work of the moment.
 */
export function expectNoGrowth(checkpoints: readonly Checkpoint[], warmUpDays: number, most: MostGrowth): void {
  const seen = checkpoints.filter(({ day }) => day >= warmUpDays);
  const third = Math.ceil(seen.length / 3);
  const middle = (values: number[]) => values.sort((a, b) => a - b)[Math.floor(values.length / 2)]!;
  const least = (values: number[]) => Math.min(...values);
  const growth = (of: (checkpoint: Checkpoint) => number, judged: (values: number[]) => number) =>
    judged(seen.slice(-third).map(of)) - judged(seen.slice(0, third).map(of));
  const grown = {
    heapMB: growth(({ heapMB }) => heapMB, middle),
    outsideMB: growth(({ outsideMB }) => outsideMB, middle),
    rssMB: growth(({ rssMB }) => rssMB, least),
  };
  console.log(`grown after ${warmUpDays} days: ${JSON.stringify(grown)}`);
  expect(grown.heapMB).toBeLessThan(most.heldMB);
  expect(grown.outsideMB).toBeLessThan(most.heldMB);
  expect(grown.rssMB).toBeLessThan(most.residentMB);
}
