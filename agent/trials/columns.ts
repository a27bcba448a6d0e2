/**
 * Readings as the columns a judge takes, added to as more are recorded. A quantity that a reading does not tell is NaN;
 * a column no reading ever told is empty. Of a meter: its watts and its count.
 */
import type { MeterSamples, TrialSamples } from '#energy/estimates/trials/asked';
import type { KeptReading } from '#messages';

const NONE = new Float64Array(0);

/** One column that grows; nothing is kept while nothing is told. */
class Column {
  #values: Float64Array = NONE;
  #told = false;

  put(index: number, room: number, value: number | null | undefined): void {
    if (value === null || value === undefined) {
      if (this.#told) {
        this.#grow(index, room);
        this.#values[index] = Number.NaN;
      }
      return;
    }
    if (!this.#told) {
      this.#told = true;
      this.#values = new Float64Array(room).fill(Number.NaN);
    }
    this.#grow(index, room);
    this.#values[index] = value;
  }

  get(count: number): Float64Array {
    return this.#told ? this.#values.subarray(0, count) : NONE;
  }

  #grow(index: number, room: number): void {
    if (index < this.#values.length) return;
    const longer = new Float64Array(room).fill(Number.NaN);
    longer.set(this.#values);
    this.#values = longer;
  }
}

const QUANTITIES = {
  inputW: 'inputPowerW',
  outputW: 'outputPowerW',
  acOutputW: 'acOutputPowerW',
  dcOutputW: 'dcOutputPowerW',
  chargerW: 'chargerPowerW',
  solarW: 'solarPowerW',
  pct: 'stateOfChargePct',
  batteryV: 'batteryVoltageV',
  batteryA: 'batteryCurrentA',
  batteryW: 'batteryPowerW',
  tempC: 'batteryTempC',
} as const;
type Named = keyof typeof QUANTITIES;
const NAMES = Object.keys(QUANTITIES) as Named[];

/** A meter of its own tells its own watts; another station's outlets may stand for one. */
const METER_W = ['meterPowerW', 'acOutputPowerW', 'outputPowerW', 'inputPowerW'] as const;
const METER_WH = ['meterEnergyWh', 'outputEnergyWh', 'inputEnergyWh'] as const;
const PORT = /^solarPowerW\.(\d+)$/;

/**
 * More time went by than the instants tell: the record waits there for a clock that had been ahead. A sum over instants
 * would be too small, so that stretch is left to be a gap.
 */
const isSlow = (before: KeptReading, now: KeptReading): boolean =>
  now.clock === 'stepped' && before.session === now.session && now.monoMs - before.monoMs > now.at - before.at;

const asNumber = (state: unknown): number | undefined => (state === true ? 1 : state === false ? 0 : undefined);

export interface Columns {
  /** In order of time; what is not later than the last is passed over. */
  add(reading: KeptReading): void;
  /** Instant of the last reading, also of one that tells nothing; null before the first. */
  readonly lastAt: number | null;
  readonly count: number;
  samples(): TrialSamples;
  /** The station's own readings as a meter: of its watts, or of a count. null where it tells neither. */
  meter(): MeterSamples | null;
}

export function createColumns(): Columns {
  let at = new Float64Array(1024);
  let count = 0;
  let last: KeptReading | null = null;
  const named = new Map(NAMES.map(name => [name, new Column()]));
  const ports = new Map<number, Column>();
  const [acOn, onMains] = [new Column(), new Column()];
  const meters = new Map([...METER_W, ...METER_WH].map(name => [name as string, new Column()]));
  const column = (name: Named) => named.get(name)!.get(count);
  return {
    add(reading) {
      const { at: instant, quantities, states, quality } = reading;
      const before = last;
      if (before !== null && instant <= before.at) return;
      last = reading;
      // What was judged not to be trusted tells nothing.
      if (quality === 'bad' || (before !== null && isSlow(before, reading))) return;
      if (count === at.length) {
        const longer = new Float64Array(2 * count);
        longer.set(at);
        at = longer;
      }
      at[count] = instant;
      for (const name of NAMES) named.get(name)!.put(count, at.length, quantities[QUANTITIES[name]]);
      for (const [name, one] of meters) one.put(count, at.length, quantities[name as 'meterPowerW']);
      for (const key of Object.keys(quantities)) {
        const port = PORT.exec(key);
        if (port !== null && !ports.has(Number(port[1]))) ports.set(Number(port[1]), new Column());
      }
      for (const [port, one] of ports) one.put(count, at.length, quantities[`solarPowerW.${port}`]);
      acOn.put(count, at.length, asNumber(states.acOutletsOn));
      onMains.put(count, at.length, asNumber(states.onMains));
      count++;
    },
    get lastAt() {
      return last?.at ?? null;
    },
    get count() {
      return count;
    },
    samples() {
      const of = Object.fromEntries(NAMES.map(name => [name, column(name)])) as Record<Named, Float64Array>;
      const highest = Math.max(0, ...ports.keys());
      const solarPortsW = Array.from({ length: highest }, (_, i) => ports.get(i + 1)?.get(count) ?? NONE);
      return { at: at.subarray(0, count), ...of, solarPortsW, acOn: acOn.get(count), onMains: onMains.get(count) };
    },
    meter() {
      const first = (names: readonly string[]) =>
        names.map(name => meters.get(name)!.get(count)).find(values => values.length > 0) ?? NONE;
      const own = meters.get('meterPowerW')!.get(count);
      const ownCount = meters.get('meterEnergyWh')!.get(count);
      // A meter that tells anything of its own is not mixed with what else the source tells.
      const isMeter = own.length + ownCount.length > 0;
      const powerW = isMeter ? own : first(METER_W);
      const energyWh = isMeter ? ownCount : powerW.length > 0 ? NONE : first(METER_WH);
      return powerW.length + energyWh.length === 0 ? null : { at: at.subarray(0, count), powerW, energyWh };
    },
  };
}
