/**
 * The record's minutes, day by day: watts from the sun, state of charge, measured light. Read in stretches of six days of
 * universal time, so that no stored day is unpacked twice. Watts W, percents, W/m²; NaN where nothing was recorded.
 */
import type { QuantityKey } from '#kit';
import type { RecordQueries } from '#messages';

const MINUTE_MS = 60_000;
const STRETCH_MS = 6 * 86_400_000;
const STRETCH_MIN = STRETCH_MS / MINUTE_MS;
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

export function minuteReader(record: Pick<RecordQueries, 'series'>, station: string): MinuteReader {
  const held = new Map<number, Stretch>();

  const stretchOf = (number: number): Stretch => {
    let stretch = held.get(number);
    if (stretch === undefined) {
      stretch = readStretch(record, station, number * STRETCH_MS);
      // A day lies in two of them at most, and days come in order.
      for (const old of held.keys()) if (Math.abs(old - number) > 1) held.delete(old);
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

function readStretch(record: Pick<RecordQueries, 'series'>, station: string, fromMs: number): Stretch {
  const toMs = fromMs + STRETCH_MS;
  const { columns } = record.series({ station, quantities: QUANTITIES, fromMs, toMs, points: STRETCH_MIN });
  const values = (key: keyof Stretch): Float64Array => {
    const column = new Float64Array(STRETCH_MIN).fill(Number.NaN);
    for (const [i, mean] of (columns[key]?.mean ?? []).entries()) if (mean !== null) column[i] = mean;
    return column;
  };
  return {
    solarPowerW: values('solarPowerW'),
    inputPowerW: values('inputPowerW'),
    stateOfChargePct: values('stateOfChargePct'),
    planeOfArrayWm2: values('planeOfArrayWm2'),
  };
}

/**
 * Watts from the sun by the minute. Nothing coming in is nothing from the sun; a source that tells less often than once a
 * minute is joined by straight lines as far as its own pace reaches: 2.5 times the usual distance, as in the day's totals.
 *
 * @param allSun no reading of the day says apart what comes from the sun, and its input counts as harvest
 */
export function sunMinutes({ solarW, inputW }: RecordedMinutes, allSun: boolean): Float64Array {
  const sunW = solarW.slice();
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
