/**
 * Columns of samples: which stretch, which step their digits have, sums over time with what lay between samples too far
 * apart. Energies Wh by the trapezium rule; W; instants epoch ms.
 */
import type { TrialSamples } from './asked.ts';

export const HOUR_MS = 3_600_000;
export const MINUTE_MS = 60_000;

export const isTold = (column: Float64Array): boolean => column.some(x => !Number.isNaN(x));

/** First index at or after an instant. */
export function indexAt(at: Float64Array, ms: number): number {
  let [low, high] = [0, at.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (at[middle]! < ms) low = middle + 1;
    else high = middle;
  }
  return low;
}

/** Of a stretch [from, to], the numbers that are there. */
export function valuesOf(column: Float64Array, from: number, to: number): Float64Array {
  return column.subarray(from, to + 1).filter(x => !Number.isNaN(x));
}

/** Of many values every so-manyth is enough. */
const MEDIAN_OF = 4000;

export function medianOf(values: ArrayLike<number>): number {
  const stride = Math.max(1, Math.floor(values.length / MEDIAN_OF));
  const sorted = Float64Array.from({ length: Math.ceil(values.length / stride) }, (_, k) => values[k * stride]!).sort();
  return sorted.length === 0 ? Number.NaN : (sorted[(sorted.length - 1) >> 1]! + sorted[sorted.length >> 1]!) / 2;
}

export const meanOf = (values: ArrayLike<number>): number => {
  let sum = 0;
  for (let k = 0; k < values.length; k++) sum += values[k]!;
  return values.length === 0 ? Number.NaN : sum / values.length;
};

/** Scatter of single readings beside their neighbours, a slow course left out: by second differences, outliers left out. */
export function scatterOf(values: ArrayLike<number>): number {
  const n = values.length - 2;
  if (n < 3) return 0;
  const stride = Math.max(1, Math.floor(n / 4000));
  const bends: number[] = [];
  for (let k = 0; k < n; k += stride) bends.push(Math.abs(values[k + 2]! - 2 * values[k + 1]! + values[k]!));
  const limit = 6 * Math.max(1e-9, medianOf(bends), meanOf(bends) / 4);
  let [squares, count] = [0, 0];
  for (const bend of bends) {
    if (bend > limit) continue;
    squares += bend * bend;
    count++;
  }
  // A second difference of independent readings has six times their variance.
  return count === 0 ? 0 : Math.sqrt(squares / count / 6);
}

const STEPS = [10, 5, 2, 1, 0.5, 0.1, 0.05, 0.01, 0.001] as const;
/** Coarser ones are believed only of so many different values. */
const DIFFERENT = 8;

/** The step its digits go by; a coarse one only where many different values show it. */
export function digitOf(values: ArrayLike<number>): number {
  const seen = new Set<number>();
  for (let k = 0; k < values.length && seen.size < 400; k++) if (values[k]! !== 0) seen.add(values[k]!);
  const coarsest = seen.size >= DIFFERENT ? 10 : 1;
  for (const step of STEPS) {
    if (step > coarsest) continue;
    if ([...seen].every(x => Math.abs(x / step - Math.round(x / step)) < 1e-6)) return step;
  }
  return 0.001;
}

export interface Summed {
  readonly energyWh: number;
  /** Stretches longer than the limit; their energy is in, as a straight line between their ends. */
  readonly bridged: readonly { fromAt: number; toAt: number; fromW: number; toW: number }[];
}

/** Energy of a column between two indices; missing values are passed over like missing samples. */
export function energyOf(at: Float64Array, column: Float64Array, from: number, to: number, gapLimitMs: number): Summed {
  let [energyMilliJ, last] = [0, -1];
  const bridged: Summed['bridged'][number][] = [];
  for (let k = from; k <= to; k++) {
    const w = column[k]!;
    if (Number.isNaN(w)) continue;
    if (last >= 0) {
      const spanMs = at[k]! - at[last]!;
      energyMilliJ += ((column[last]! + w) / 2) * spanMs;
      if (spanMs > gapLimitMs) bridged.push({ fromAt: at[last]!, toAt: at[k]!, fromW: column[last]!, toW: w });
    }
    last = k;
  }
  return { energyWh: energyMilliJ / HOUR_MS, bridged };
}

/** What goes out at the AC outlets; at all outlets where AC is not told. */
export const outColumn = (s: TrialSamples): Float64Array => (isTold(s.acOutputW) ? s.acOutputW : s.outputW);

/** All that comes in; the sum of what is told where the whole is not. */
export function inColumn(s: TrialSamples): Float64Array {
  if (isTold(s.inputW)) return s.inputW;
  const parts = [s.chargerW, s.solarW].filter(isTold);
  return Float64Array.from(s.at, (_, k) => parts.reduce((sum, part) => sum + (part[k]! || 0), 0));
}

/** Battery power, charging positive; empty where it is not told. */
export function batteryColumn(s: TrialSamples): Float64Array {
  if (isTold(s.batteryV) && isTold(s.batteryA)) return s.batteryV.map((v, k) => v * s.batteryA[k]!);
  return isTold(s.batteryW) ? s.batteryW : new Float64Array(0);
}

/** The samples of [fromAt, toAt] only. */
export function cut(s: TrialSamples, fromAt: number, toAt: number): TrialSamples {
  const [from, to] = [indexAt(s.at, fromAt), indexAt(s.at, toAt + 1)];
  const of = (column: Float64Array) => (column.length === 0 ? column : column.subarray(from, to));
  return {
    at: of(s.at),
    inputW: of(s.inputW),
    outputW: of(s.outputW),
    acOutputW: of(s.acOutputW),
    dcOutputW: of(s.dcOutputW),
    chargerW: of(s.chargerW),
    solarW: of(s.solarW),
    solarPortsW: s.solarPortsW.map(of),
    pct: of(s.pct),
    batteryV: of(s.batteryV),
    batteryA: of(s.batteryA),
    batteryW: of(s.batteryW),
    tempC: of(s.tempC),
    acOn: of(s.acOn),
    onMains: of(s.onMains),
  };
}

/** What charges: the wall's watts, the sun's, or all that comes in where they are not told apart. */
export function chargeColumn(s: TrialSamples, source: 'wall' | 'sun'): Float64Array {
  const own = source === 'wall' ? s.chargerW : s.solarW;
  return isTold(own) ? own : inColumn(s);
}

/** The last number at or before an index; NaN where there is none. */
export function lastTold(column: Float64Array, k: number): number {
  let j = k;
  while (j >= 0 && Number.isNaN(column[j]!)) j--;
  return j < 0 ? Number.NaN : column[j]!;
}

/** A percent told less often than the rest stands for so many samples. */
const STANDS = 600;

/** State of charge as it stood at a sample; NaN where none was told lately. */
export function pctAt({ pct }: TrialSamples, k: number): number {
  for (let j = Math.min(k, pct.length - 1); j >= 0 && k - j <= STANDS; j--) if (!Number.isNaN(pct[j]!)) return pct[j]!;
  return Number.NaN;
}

/** The same for what is told: null where it is not known. */
export function pctToldAt(s: TrialSamples, k: number): number | null {
  const pct = pctAt(s, k);
  return Number.isNaN(pct) ? null : pct;
}

/** Battery volts and amperes, or watts, are told. */
export const bySensors = (s: TrialSamples): boolean => (isTold(s.batteryV) && isTold(s.batteryA)) || isTold(s.batteryW);
