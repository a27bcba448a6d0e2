/**
 * The record's minutes, day by day: watts from the sun, state of charge, measured light. Read in stretches of six days of
 * universal time, so that no stored day is unpacked twice. Watts W, percents, W/m²; NaN where nothing was recorded.
 */
import type { QuantityKey } from '#kit';
import type { DayTotals, RecordQueries } from '#messages';

const MINUTE_MS = 60_000;
const STRETCH_MS = 6 * 86_400_000;
const STRETCH_MIN = STRETCH_MS / MINUTE_MS;
/** Stretches held: those of a month and one more on each side. */
const MOST_HELD = 8;
const QUANTITIES = ['solarPowerW', 'inputPowerW', 'stateOfChargePct', 'planeOfArrayWm2'] as const;

export interface RecordedMinutes {
  readonly solarW: Float64Array;
  readonly inputW: Float64Array;
  readonly pct: Float64Array;
  readonly planeWm2: Float64Array;
}

export interface MinuteReader {
  /** The minutes of [startMs, startMs + count min). */
  read(startMs: number, count: number): RecordedMinutes;
}

type Stretch = Record<(typeof QUANTITIES)[number], Float64Array>;

export function minuteReader(record: Pick<RecordQueries, 'means'>, station: string): MinuteReader {
  const held = new Map<number, Stretch>();

  const stretchOf = (number: number): Stretch => {
    let stretch = held.get(number);
    if (stretch === undefined) {
      stretch = readStretch(record, station, number * STRETCH_MS);
      // The one that was read first goes: days come in order, some of them a month ahead of the others.
      if (held.size >= MOST_HELD) held.delete(held.keys().next().value!);
      held.set(number, stretch);
    }
    return stretch;
  };

  return {
    read(startMs, count) {
      const column = (key: QuantityKey & keyof Stretch): Float64Array => {
        const first = Math.floor(startMs / MINUTE_MS);
        const values = new Float64Array(count);
        for (let done = 0; done < count; ) {
          const number = Math.floor((first + done) / STRETCH_MIN);
          const from = first + done - number * STRETCH_MIN;
          const part = stretchOf(number)[key].subarray(from, from + count - done);
          values.set(part, done);
          done += part.length;
        }
        return values;
      };
      return {
        solarW: column('solarPowerW'),
        inputW: column('inputPowerW'),
        pct: column('stateOfChargePct'),
        planeWm2: column('planeOfArrayWm2'),
      };
    },
  };
}

function readStretch(record: Pick<RecordQueries, 'means'>, station: string, fromMs: number): Stretch {
  const means = record.means({ station, quantities: QUANTITIES, fromMs, toMs: fromMs + STRETCH_MS, stepMs: MINUTE_MS });
  const of = (key: keyof Stretch) => means[key]?.mean ?? new Float64Array(STRETCH_MIN).fill(Number.NaN);
  return {
    solarPowerW: of('solarPowerW'),
    inputPowerW: of('inputPowerW'),
    stateOfChargePct: of('stateOfChargePct'),
    planeOfArrayWm2: of('planeOfArrayWm2'),
  };
}

/**
 * Watts from the sun by the minute. Nothing coming in is nothing from the sun. Where no minute says apart what comes from
 * the sun and the day has a harvest, its input was the sun's. A source that tells less often than once a minute is joined
 * by straight lines as far as its own pace reaches: 2.5 times the usual distance, as in the day's totals.
 */
export function sunMinutes({ solarW, inputW }: RecordedMinutes, { solarMilliJ }: Pick<DayTotals, 'solarMilliJ'>) {
  const sunW = solarW.slice();
  const allSun = solarMilliJ > 0 && solarW.every(Number.isNaN);
  for (let m = 0; m < sunW.length; m++) if (Number.isNaN(sunW[m]!) && (allSun || inputW[m] === 0)) sunW[m] = inputW[m]!;
  return joined(sunW);
}

/** Values with the holes between them filled that are no wider than the source's own pace. */
export function joined(values: Float64Array): Float64Array {
  const at: number[] = [];
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i]!)) at.push(i);
  if (at.length < 2 || at.length === values.length) return values;
  const distances = at.slice(1).map((i, k) => i - at[k]!);
  const usual = [...distances].sort((a, b) => a - b)[distances.length >> 1]!;
  for (const [k, distance] of distances.entries()) {
    if (distance === 1 || distance > 2.5 * usual) continue;
    const from = at[k]!;
    const [a, b] = [values[from]!, values[from + distance]!];
    for (let j = 1; j < distance; j++) values[from + j] = a + ((b - a) * j) / distance;
  }
  return values;
}
