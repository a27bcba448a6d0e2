/**
 * An external meter beside the station's own watts: over what both told, how far the own watts are off. A counting meter,
 * or one read by eye at intervals, by the difference of two counts; one that tells watts by their mean over time.
 */
import type { MeterFacts, MeterSamples } from './asked.ts';
import { digitOf, energyOf, HOUR_MS, indexAt, scatterOf, valuesOf } from './samples.ts';
import { betweenTwo, fromScatter, roundedTerms, scaled, type Term, withinLimits } from './terms.ts';

export interface Compared {
  /** Own watt-hours over the meter's. */
  readonly ratio: number;
  /** Of the ratio, relative; the meter's limit of error among them. */
  readonly terms: readonly Term[];
  /** Of the stretch, covered by both, 0 to 1. */
  readonly covered: number;
  readonly meterWh: number;
}

interface Own {
  readonly at: Float64Array;
  readonly column: Float64Array;
  readonly from: number;
  readonly to: number;
  readonly gapLimitMs: number;
}

/** Two instruments see the same steady load at moments that are not the same; what it may have moved meanwhile. */
const STEADY_SHARE = 0.02;
/** Typed readings and other clocks are off by up to this. */
const CLOCK_MS = 2_000;

/** Shares of the meter's error, relative. */
const limitOf = (facts: MeterFacts): Term => withinLimits('meter', facts.limitPct / 100, `meter:${facts.id}`);

/** null where the meter told too little of the stretch. */
export function besideMeter(own: Own, meter: MeterSamples | null, facts: MeterFacts | null): Compared | null {
  if (meter === null || facts === null || meter.at.length < 2) return null;
  const counts = meter.energyWh.length > 0 && valuesOf(meter.energyWh, 0, meter.at.length).length >= 2;
  return counts ? byCount(own, meter, facts) : byWatts(own, meter, facts);
}

/** Own energy between two instants; the ends within a sample's distance straight. */
function ownBetween(own: Own, fromAt: number, toAt: number): number {
  const { at, column } = own;
  const [a, b] = [Math.max(own.from, indexAt(at, fromAt)), Math.min(own.to, indexAt(at, toAt + 1) - 1)];
  if (b <= a) return Number.NaN;
  const inner = energyOf(at, column, a, b, own.gapLimitMs).energyWh;
  const before = Math.max(0, Math.min(at[a]! - fromAt, own.gapLimitMs));
  const after = Math.max(0, Math.min(toAt - at[b]!, own.gapLimitMs));
  return inner + ((column[a]! || 0) * before + (column[b]! || 0) * after) / HOUR_MS;
}

const relativeScatter = (own: Own): Term[] => {
  const values = valuesOf(own.column, own.from, own.to);
  const mean = values.reduce((sum, v) => sum + v, 0) / Math.max(1, values.length);
  if (mean === 0) return [];
  return scaled(
    [
      ...roundedTerms('rounding', digitOf(values), 1, scatterOf(values)),
      fromScatter('scatter', scatterOf(values) / Math.sqrt(values.length), values.length - 1),
    ],
    1 / mean,
  );
};

function byCount(own: Own, meter: MeterSamples, facts: MeterFacts): Compared | null {
  const told = [...meter.at.keys()].filter(k => !Number.isNaN(meter.energyWh[k]!));
  const [beginAt, endAt] = [own.at[own.from]!, own.at[own.to]!];
  const stepMs = Math.max(CLOCK_MS, (own.at[own.from + 1] ?? endAt) - beginAt);
  // Read before the beginning and after the end, where nothing runs through the meter, a count misses nothing.
  const before = told.findLast(k => meter.at[k]! <= beginAt - stepMs);
  const after = told.find(k => meter.at[k]! >= endAt + stepMs);
  const [first, last] = [before ?? told[0]!, after ?? told.at(-1)!];
  const meterWh = meter.energyWh[last]! - meter.energyWh[first]!;
  const [fromAt, toAt] = [Math.max(beginAt, meter.at[first]!), Math.min(endAt, meter.at[last]!)];
  const edge = (is: number | undefined, k: number) =>
    is === undefined ? 0 : ((own.column[k]! || 0) * stepMs) / 2 / HOUR_MS;
  const ownWh = ownBetween(own, fromAt, toAt) + edge(before, own.from) + edge(after, own.to);
  if (!(meterWh > 0) || !(ownWh > 0)) return null;
  const meanW = (ownWh * HOUR_MS) / (toAt - fromAt);
  // A count read within the run is as of a moment that is known to a clock's error; one outside leaves the own edges.
  const momentWh = (is: number | undefined) =>
    ((is === undefined ? CLOCK_MS + stepMs / 4 : stepMs / 2) * meanW) / HOUR_MS;
  return {
    ratio: ownWh / meterWh,
    meterWh,
    covered: (toAt - fromAt) / (endAt - beginAt),
    terms: [
      limitOf(facts),
      betweenTwo('meter', facts.stepWh / meterWh),
      withinLimits('endMoment', momentWh(before) / ownWh),
      withinLimits('endMoment', momentWh(after) / ownWh),
      ...relativeScatter(own),
    ],
  };
}

function byWatts(own: Own, meter: MeterSamples, facts: MeterFacts): Compared | null {
  const fromAt = Math.max(own.at[own.from]!, meter.at[0]!);
  const toAt = Math.min(own.at[own.to]!, meter.at.at(-1)!);
  const [a, b] = [indexAt(meter.at, fromAt), indexAt(meter.at, toAt + 1) - 1];
  if (b - a < 5) return null;
  const summed = energyOf(meter.at, meter.powerW, a, b, own.gapLimitMs);
  const blindMs = summed.bridged.reduce((sum, gap) => sum + gap.toAt - gap.fromAt, 0);
  const ownWh = ownBetween(own, meter.at[a]!, meter.at[b]!);
  const spanMs = meter.at[b]! - meter.at[a]!;
  if (!(summed.energyWh > 0) || !(ownWh > 0) || blindMs > 0.2 * spanMs) return null;
  const values = valuesOf(meter.powerW, a, b);
  const meanW = (summed.energyWh * HOUR_MS) / spanMs;
  const stepMs = Math.max(CLOCK_MS, spanMs / (b - a));
  return {
    ratio: ownWh / summed.energyWh,
    meterWh: summed.energyWh,
    covered: (spanMs - blindMs) / (own.at[own.to]! - own.at[own.from]!),
    terms: [
      limitOf(facts),
      ...scaled(roundedTerms('meter', facts.stepW, 1, scatterOf(values), `digits:meter:${facts.id}`), 1 / meanW),
      fromScatter('scatter', scatterOf(values) / Math.sqrt(values.length) / meanW, values.length - 1),
      withinLimits('endMoment', (STEADY_SHARE * stepMs) / spanMs),
      ...(blindMs > 0 ? [withinLimits('bridgedGap', (0.1 * blindMs) / spanMs)] : []),
      ...relativeScatter(own),
    ],
  };
}
