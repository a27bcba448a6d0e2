/** Totals of days whose readings are recorded and whose totals are not, as after a rescue: counted from the readings. */
import { civilDayOf } from '#energy/civil-day';
import type { DayTotals } from '#messages';
import { createTally, type DayAddition } from '../derive/tally.ts';
import type { OpenedRecord } from '../store/open.ts';
import { countsOf } from './lost-counts.ts';
import { addDays } from './run/pending.ts';

const DAY_MS = 86_400_000;

/** The middle distance of the readings of a day, ms. */
function intervalOf(instants: readonly number[]): number {
  const distances = instants.slice(1).map((at, i) => at - instants[i]!);
  distances.sort((a, b) => a - b);
  return distances[Math.floor(distances.length / 2)] ?? 1000;
}

/** Counts what is missing between recorded days. @returns how many days were made */
export function countLostDays(record: OpenedRecord, station: string, zone: string): number {
  const extent = record.extent(station);
  if (extent === null) return 0;
  const known: DayTotals[] = record.days(station, '0000-01-01', '9999-12-31');
  const isKnown = (at: number) => known.some(day => at >= day.startMs && at < day.endMs);
  let made = 0;
  for (let at = extent.fromMs; at <= extent.toMs; ) {
    const day = civilDayOf(at, zone);
    at = day.endMs;
    if (isKnown(day.startMs + DAY_MS / 2)) continue;
    const readings = [...record.readings(station, day.startMs, day.endMs)];
    if (readings.length === 0) continue;
    const intervalMs = intervalOf(readings.map(r => r.at));
    const tally = createTally(intervalMs, null);
    let total: DayAddition | null = null;
    for (const reading of readings)
      for (const part of tally.add(reading, reading.quantities.solarPowerW ?? null, zone).days)
        total = total === null ? part : addDays(total, part);
    if (total === null) continue;
    const isCounted = record.counted(station, day.date, day.date).length > 0;
    const { counted, bridges } = isCounted ? { counted: [], bridges: [] } : countsOf(readings, intervalMs, zone);
    record.insertOlder({
      station,
      readings: [],
      days: [{ station, ...total }],
      spans: [],
      outages: [],
      counted: counted.map(one => ({ station, ...one })),
      bridges: bridges.map(one => ({ station, ...one })),
      gap: null,
    });
    made++;
  }
  return made;
}
