/**
 * A record of ten stations over a year that has just ended, a reading every quarter of an hour of eight quantities: as many
 * rows, blocks, rollups, days and seals as make a difference to an agent that opens it, and soon made.
 */
import type { Reading } from '#kit';
import type { DayDelta } from '#messages';
import { openRecord } from '../../agent/store/open.ts';
import { MINUTE_MS, readingAt } from './recorded-year.ts';

const EVERY_MIN = 15;
const A_DAY = 1440 / EVERY_MIN;
const DAY_MS = 86_400_000;
const DAYS = 365;
const PIECES = 80;

/** Asks an agent for the year of each station as the page does: a chart of three quantities, and its days. */
export async function askLoadedYear(url: string, stations: readonly string[]): Promise<void> {
  const [from, to] = [new Date(Date.now() - (DAYS - 1) * DAY_MS).toISOString(), new Date().toISOString()];
  const chart = `series?quantity=inputPowerW,outputPowerW,stateOfChargePct&from=${from}&to=${to}&points=1200`;
  const days = `days?from=${from.slice(0, 10)}&to=${to.slice(0, 10)}`;
  for (const station of stations)
    for (const asked of [chart, days]) {
      const answer = await fetch(`${url}api/stations/${station}/${asked}`);
      if (!answer.ok) throw new Error(`${asked}: ${answer.status} ${await answer.text()}`);
      await answer.text();
    }
}

/** @param stations their ids @param endsAt epoch ms @returns when it begins, at a midnight of UTC */
export function recordLoadedYear(dir: string, stations: readonly string[], endsAt: number): number {
  const startsAt = Math.floor(endsAt / DAY_MS - DAYS) * DAY_MS;
  const record = openRecord(dir, { nowMs: () => endsAt, commitIntervalMs: 0, keepRawDays: () => 90 });
  const bare = { outages: [], spans: [], facts: [] };
  for (let day = 0; day < DAYS; day++) {
    const readings: Reading[] = [];
    const days: DayDelta[] = [];
    for (const station of stations) {
      const own = Array.from({ length: A_DAY }, (_, i): Reading => {
        const minute = day * 1440 + i * EVERY_MIN;
        return { ...readingAt(minute), station, seq: day * A_DAY + i + 1, at: startsAt + minute * MINUTE_MS };
      });
      readings.push(...own);
      days.push(dayOf(station, startsAt + day * DAY_MS, own));
    }
    record.commit({ readings, days, cursors: [], ...bare });
  }
  for (let piece = 0; piece < PIECES; piece++) record.upkeep();
  record.close();
  return startsAt;
}

function dayOf(station: string, startMs: number, own: readonly Reading[]): DayDelta {
  const sum = (key: 'inputPowerW' | 'outputPowerW') =>
    Math.round(own.reduce((all, { quantities }) => all + (quantities[key] ?? 0) * EVERY_MIN * MINUTE_MS, 0));
  return {
    station,
    date: new Date(startMs).toISOString().slice(0, 10),
    zone: 'UTC',
    startMs,
    endMs: startMs + DAY_MS,
    solarMilliJ: sum('inputPowerW'),
    inputMilliJ: sum('inputPowerW'),
    outputMilliJ: sum('outputPowerW'),
    coveredMs: DAY_MS,
    gapMs: 0,
    solarPeakW: Math.max(...own.map(({ quantities }) => quantities.inputPowerW ?? 0)),
    stateOfChargeMinPct: Math.min(...own.map(({ quantities }) => quantities.stateOfChargePct ?? 100)),
    stateOfChargeMaxPct: Math.max(...own.map(({ quantities }) => quantities.stateOfChargePct ?? 0)),
  };
}
