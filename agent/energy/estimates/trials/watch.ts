/**
 * What is watched for in every trial, from the samples alone: stretches in which something came in, the station was too
 * cold or too warm, readings were missing. Own judgement where a limit has no source.
 */
import type { Spoiled, Spoiler, TrialSamples } from './asked.ts';
import { HOUR_MS, inColumn, isTold, MINUTE_MS } from './samples.ts';

/** A stretch in which a condition held, by index of its first and last sample. */
export interface Stretch {
  readonly from: number;
  readonly to: number;
}

/** Stretches where `holds`, joined over breaks up to `joinMs`, of at least `leastMs`. */
export function stretchesWhere(
  at: Float64Array,
  from: number,
  to: number,
  holds: (k: number) => boolean,
  leastMs: number,
  joinMs = 0,
): Stretch[] {
  const out: Stretch[] = [];
  let begin = -1;
  let last = -1;
  const close = () => {
    if (begin >= 0 && spanOf(at, begin, last, to) >= leastMs) out.push({ from: begin, to: last });
    begin = -1;
  };
  for (let k = from; k <= to; k++) {
    if (!holds(k)) continue;
    if (begin >= 0 && k > last + 1 && at[k]! - at[last]! > joinMs) close();
    if (begin < 0) begin = k;
    last = k;
  }
  close();
  return out;
}

/** A value stands until the next sample. */
const spanOf = (at: Float64Array, from: number, to: number, end: number) => at[Math.min(to + 1, end)]! - at[from]!;

export const spoiled = (
  what: Spoiler,
  at: number,
  toAt: number,
  consequence: Spoiled['consequence'],
  amount: number | null = null,
  unit: Spoiled['unit'] = null,
): Spoiled => ({ what, at, toAt, consequence, amount: amount === null || Number.isNaN(amount) ? null : amount, unit });

/** Below this nothing comes in: stations show a watt or two of nothing. W */
export const INPUT_W = 4;
const INPUT_LEAST_MS = 20_000;

/**
 * Energy that came in although nothing should have. @param ofWh what it is held against: beyond `share` of it it spoils
 */
export function inputSeen(s: TrialSamples, from: number, to: number, ofWh: number, share: number): Spoiled[] {
  const input = inColumn(s);
  const mains = (k: number) => s.onMains[k] === 1 || s.chargerW[k]! > INPUT_W;
  const comes = (k: number) => input[k]! > INPUT_W || mains(k);
  return stretchesWhere(s.at, from, to, comes, INPUT_LEAST_MS, MINUTE_MS).map(({ from: a, to: b }) => {
    let wh = 0;
    let byWall = 0;
    for (let k = a; k <= b; k++) {
      wh += ((input[k]! || 0) * (s.at[Math.min(k + 1, to)]! - s.at[k]!)) / HOUR_MS;
      if (mains(k)) byWall++;
    }
    const what = 2 * byWall > b - a + 1 ? 'mainsBack' : 'sunOnPanels';
    return spoiled(what, s.at[a]!, s.at[b]!, wh > share * ofWh || what === 'mainsBack' ? 'spoils' : 'widens', wh, 'Wh');
  });
}

/** The battery outside the temperatures the trial is meant for, for more than a twentieth of the time. */
export function temperatureSeen(
  s: TrialSamples,
  from: number,
  to: number,
  limits: { readonly tempMinC: number; readonly tempMaxC: number },
): Spoiled[] {
  if (!isTold(s.tempC)) return [];
  const wholeMs = s.at[to]! - s.at[from]!;
  const sides = [
    ['tooCold', (c: number) => c < limits.tempMinC, limits.tempMinC],
    ['tooWarm', (c: number) => c > limits.tempMaxC, limits.tempMaxC],
  ] as const;
  return sides.flatMap(([what, outside, limit]) => {
    const found = stretchesWhere(s.at, from, to, k => outside(s.tempC[k]!), MINUTE_MS, 10 * MINUTE_MS);
    if (found.length === 0) return [];
    const lastingMs = found.reduce((sum, of) => sum + s.at[of.to]! - s.at[of.from]!, 0);
    let most = 0;
    for (const of of found)
      for (let k = of.from; k <= of.to; k++) most = Math.max(most, Math.abs(s.tempC[k]! - limit) || 0);
    const consequence = lastingMs > wholeMs / 20 ? 'spoils' : 'noted';
    return [spoiled(what, s.at[found[0]!.from]!, s.at[found.at(-1)!.to]!, consequence, most, '°C')];
  });
}

/** A gap up to this is bridged where what lies on both sides is alike. */
export const BRIDGED_MS = 5 * MINUTE_MS;

/** Distances of samples above the limit. */
export function gapsSeen(at: Float64Array, from: number, to: number, gapLimitMs: number, bridgedMs = BRIDGED_MS) {
  const gaps: Spoiled[] = [];
  for (let k = from + 1; k <= to; k++) {
    const spanMs = at[k]! - at[k - 1]!;
    if (spanMs <= gapLimitMs) continue;
    const consequence = spanMs > bridgedMs ? 'spoils' : 'widens';
    gaps.push(spoiled('gap', at[k - 1]!, at[k]!, consequence, spanMs / MINUTE_MS, 'min'));
  }
  return gaps;
}
