/**
 * Energy by the station's own watts with what makes it unsure apart from their gain: digits, the moment of the ends,
 * bridged gaps. How far the own watts are off as a whole is one cause for the whole station and stays out, unless asked.
 */
import type { TrialSamples } from './asked.ts';
import { digitOf, energyOf, HOUR_MS, medianOf, scatterOf, valuesOf } from './samples.ts';
import { fromScatter, roundedTerms, type Term, withinLimits } from './terms.ts';

export interface Counted {
  readonly energyWh: number;
  /** What it flowed for, the edges with it. */
  readonly hours: number;
  readonly terms: readonly Term[];
}

/** Of a load that seemed steady on both sides, how far it may have been off within a gap. Own judgement. */
const BRIDGED_SHARE = 0.1;

/**
 * @param edges whether the first and the last sample lie a sample's distance or less from the true beginning and end
 * @param shared names the instrument, so that the way it rounds cancels between its figures
 */
export function countedWh(
  s: TrialSamples,
  column: Float64Array,
  from: number,
  to: number,
  gapLimitMs: number,
  shared: string,
  edges: { readonly begin: boolean; readonly end: boolean },
): Counted {
  const { energyWh, bridged } = energyOf(s.at, column, from, to, gapLimitMs);
  const values = valuesOf(column, from, to);
  const hours = (s.at[to]! - s.at[from]!) / HOUR_MS;
  const scatter = scatterOf(values);
  const level = medianOf(values);
  const terms: Term[] = [
    ...roundedTerms('rounding', digitOf(values), hours, scatter, shared),
    fromScatter('scatter', (scatter * hours) / Math.sqrt(Math.max(1, values.length)), values.length - 1),
  ];
  let [edgeWh, edgeMs] = [0, 0];
  for (const [is, near, w] of [
    [edges.begin, from, from],
    [edges.end, to, to],
  ] as const) {
    if (!is) continue;
    // Power flowed on for up to a sample's distance beyond the last sample that shows it: half of it, give or take half.
    const beyond = near === from ? from - 1 : to + 1;
    const ms =
      beyond >= 0 && beyond < s.at.length ? Math.abs(s.at[beyond]! - s.at[near]!) : medianStepMs(s.at, from, to);
    const beyondMs = Math.min(ms, gapLimitMs) / 2;
    const limitWh = ((column[w]! || level) * beyondMs) / HOUR_MS;
    edgeMs += beyondMs;
    edgeWh += limitWh;
    terms.push(withinLimits('endMoment', limitWh));
  }
  for (const gap of bridged) {
    const ms = gap.toAt - gap.fromAt;
    const off = Math.max(Math.abs(gap.toW - gap.fromW), BRIDGED_SHARE * level);
    terms.push(withinLimits('bridgedGap', (off * ms) / HOUR_MS));
  }
  return { energyWh: energyWh + edgeWh, hours: hours + edgeMs / HOUR_MS, terms };
}

export function medianStepMs(at: Float64Array, from: number, to: number): number {
  const steps: number[] = [];
  for (let k = from + 1; k <= Math.min(to, from + 500); k++) steps.push(at[k]! - at[k - 1]!);
  return steps.length === 0 ? 0 : medianOf(steps);
}

/** The gain of the station's own watts at one side, as a term of `value`. */
export const ownGain = (value: number, limitPct: number, station: string, side: 'out' | 'in'): Term =>
  withinLimits('ownWatts', (value * limitPct) / 100, `ownWatts:${station}:${side}`);

/** The gain of battery volts times amperes. */
export const batteryGain = (value: number, limitPct: number, station: string): Term =>
  withinLimits('batterySensors', (value * limitPct) / 100, `battery:${station}`);
