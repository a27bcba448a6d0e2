/**
 * The record's minutes, day by day: watts from the sun, state of charge, measured light. Read in stretches of six days of
 * universal time, so that no stored day is unpacked twice. Watts W, percents, W/m²; NaN where nothing was recorded.
 */
import type { DayTotals, RecordQueries } from '#messages';

const MINUTE_MS = 60_000;
const STRETCH_MS = 6 * 86_400_000;
const STRETCH_MIN = STRETCH_MS / MINUTE_MS;
/** Stretches held: those of a month and one more on each side. */
const MOST_HELD = 8;

export interface RecordedMinutes {
  readonly solarW: Float64Array;
  /** All input; worked out when it is asked for. */
  inputW(): Float64Array;
  readonly pct: Float64Array;
  /** Light measured on the panels; null where nothing ever measured it. */
  readonly planeWm2: Float64Array | null;
}

export interface MinuteReader {
  /** The minutes of [startMs, startMs + count min). */
  read(startMs: number, count: number): RecordedMinutes;
}

type Quantity = 'solarPowerW' | 'inputPowerW' | 'stateOfChargePct' | 'planeOfArrayWm2';
/** Columns of one stretch, each read when it is first asked for; null where the station never told it. */
type Stretch = Map<Quantity, Float64Array | null>;

export function minuteReader(record: Pick<RecordQueries, 'means'>, station: string): MinuteReader {
  const held = new Map<number, Stretch>();

  const readInto = (stretch: Stretch, number: number, quantities: readonly Quantity[]): void => {
    const fromMs = number * STRETCH_MS;
    const means = record.means({ station, quantities, fromMs, toMs: fromMs + STRETCH_MS, stepMs: MINUTE_MS });
    for (const quantity of quantities) stretch.set(quantity, means[quantity]?.mean ?? null);
  };

  const stretchOf = (number: number): Stretch => {
    let stretch = held.get(number);
    if (stretch === undefined) {
      // The one that was read first goes: days come in order, some of them a month ahead of the others.
      if (held.size >= MOST_HELD) held.delete(held.keys().next().value!);
      stretch = new Map();
      held.set(number, stretch);
      readInto(stretch, number, ['solarPowerW', 'stateOfChargePct', 'planeOfArrayWm2']);
    }
    return stretch;
  };

  const columnOf = (number: number, quantity: Quantity): Float64Array | null => {
    const stretch = stretchOf(number);
    if (!stretch.has(quantity)) readInto(stretch, number, [quantity]);
    return stretch.get(quantity)!;
  };

  /** A view of one stretch where the day lies within it. */
  const minutesOf = (startMs: number, count: number, quantity: Quantity): Float64Array | null => {
    const first = Math.floor(startMs / MINUTE_MS);
    const number = Math.floor(first / STRETCH_MIN);
    const from = first - number * STRETCH_MIN;
    if (from + count <= STRETCH_MIN) return columnOf(number, quantity)?.subarray(from, from + count) ?? null;
    const head = columnOf(number, quantity);
    const tail = columnOf(number + 1, quantity);
    if (head === null && tail === null) return null;
    const values = new Float64Array(count).fill(Number.NaN);
    if (head !== null) values.set(head.subarray(from));
    if (tail !== null) values.set(tail.subarray(0, from + count - STRETCH_MIN), STRETCH_MIN - from);
    return values;
  };

  const notTold = (count: number) => new Float64Array(count).fill(Number.NaN);
  return {
    read: (startMs, count) => ({
      solarW: minutesOf(startMs, count, 'solarPowerW') ?? notTold(count),
      inputW: () => minutesOf(startMs, count, 'inputPowerW') ?? notTold(count),
      pct: minutesOf(startMs, count, 'stateOfChargePct') ?? notTold(count),
      planeWm2: minutesOf(startMs, count, 'planeOfArrayWm2'),
    }),
  };
}

/**
 * Watts from the sun by the minute. Nothing coming in is nothing from the sun. Where no minute says apart what comes from
 * the sun and the day has a harvest, its input was the sun's. A source that tells less often than once a minute is joined
 * by straight lines as far as its own pace reaches: 2.5 times the usual distance, as in the day's totals.
 */
export function sunMinutes(minutes: RecordedMinutes, { solarMilliJ }: Pick<DayTotals, 'solarMilliJ'>): Float64Array {
  const { solarW } = minutes;
  const known = knownIn(solarW);
  if (known === solarW.length) return solarW;
  const allSun = solarMilliJ > 0 && known === 0;
  const inputW = minutes.inputW();
  const sunW = solarW.slice();
  for (let m = 0; m < sunW.length; m++) if (Number.isNaN(sunW[m]!) && (allSun || inputW[m] === 0)) sunW[m] = inputW[m]!;
  return joined(sunW);
}

/** How many values are there. */
export function knownIn(values: Float64Array): number {
  let known = 0;
  for (let i = 0; i < values.length; i++) if (!Number.isNaN(values[i]!)) known++;
  return known;
}

/** The values with the holes filled that are no wider than the source's own pace; themselves where there is no hole. */
export function joined(values: Float64Array): Float64Array {
  const known = knownIn(values);
  if (known < 2 || known === values.length) return values;
  const at = new Uint16Array(known);
  for (let i = 0, k = 0; i < values.length; i++) if (!Number.isNaN(values[i]!)) at[k++] = i;
  const distances = at.slice(1).map((i, k) => i - at[k]!);
  const usual = distances.slice().sort()[distances.length >> 1]!;
  const whole = values.slice();
  for (let k = 0; k < distances.length; k++) {
    const distance = distances[k]!;
    if (distance === 1 || distance > 2.5 * usual) continue;
    const from = at[k]!;
    const [a, b] = [values[from]!, values[from + distance]!];
    for (let j = 1; j < distance; j++) whole[from + j] = a + ((b - a) * j) / distance;
  }
  return whole;
}
