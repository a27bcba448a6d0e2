/** Batches whose totals can be worked out again from their readings alone. Used by the child that writes and the test. */
import type { Reading } from '#kit';
import type { Batch, DayDelta } from '#messages';
import { addDays } from '../../../agent/commands/run/pending.ts';

const DAY_MS = 86_400_000;
const STEP_MS = 37_000;
const BATCH = 10;

/** What a reading adds to its day. */
export const milliJOf = (reading: Reading): number => Math.round((reading.quantities.inputPowerW ?? 0) * 10);

export function dayOf(at: number): Pick<DayDelta, 'date' | 'zone' | 'startMs' | 'endMs'> {
  const startMs = Math.floor(at / DAY_MS) * DAY_MS;
  return { date: new Date(startMs).toISOString().slice(0, 10), zone: 'UTC', startMs, endMs: startMs + DAY_MS };
}

function toDay(reading: Reading): DayDelta {
  return {
    station: reading.station,
    ...dayOf(reading.at),
    solarMilliJ: milliJOf(reading),
    inputMilliJ: milliJOf(reading),
    outputMilliJ: 0,
    coveredMs: 1,
    gapMs: 0,
    solarPeakW: 0,
    stateOfChargeMinPct: null,
    stateOfChargeMaxPct: null,
  };
}

/** Readings `seq` to `seq + 9` of a session, the first some time after `at`; an hour fills in about ten batches. */
export function scriptedBatch(session: string, seq: number, at: number, seed: number) {
  const readings = Array.from({ length: BATCH }, (_, i): Reading => {
    const number = seq + i;
    const tenths = (number * 7919 + seed * 104_729) % 20_000;
    return {
      station: 'shed',
      session,
      seq: number,
      monoMs: number * STEP_MS,
      at: at + (i + 1) * STEP_MS,
      clock: 'synced',
      quantities: {
        inputPowerW: tenths / 10,
        outputPowerW: number % 3 === 0 ? null : 12,
        stateOfChargePct: number % 101,
      },
      states: { inputSource: 'sun' },
      quality: 'good',
      reasons: {},
    };
  });
  const last = readings.at(-1)!;
  const cursor = { station: 'shed', session, seq: last.seq, at: last.at, inputSource: 'sun' as const };
  const batch: Batch = { readings, days: readings.map(toDay), cursors: [cursor], outages: [], spans: [], facts: [] };
  return { batch, next: { seq: last.seq + 1, at: last.at } };
}

/** What was held with newer readings behind it, a sum a day, as an agent holds it. */
export function grown(held: Batch | null, fresh: Batch): Batch {
  const days = new Map<string, DayDelta>();
  for (const day of [...(held?.days ?? []), ...fresh.days]) {
    const before = days.get(day.date);
    days.set(day.date, before === undefined ? day : addDays(before, day));
  }
  return { ...fresh, readings: [...(held?.readings ?? []), ...fresh.readings], days: [...days.values()] };
}
