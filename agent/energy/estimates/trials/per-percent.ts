/**
 * Energy for each percent, from one tick to another: of a charge at its input, of a discharge at the outlets or at the
 * battery. However a station rounds, from tick to tick its count moved by exactly so many percent.
 */
import type { OwnDrawOptions, TrialSamples } from './asked.ts';
import type { Figure } from './figure.ts';
import { countedWh } from './own-watts.ts';
import { energyOf, HOUR_MS, indexAt } from './samples.ts';
import { normalTerm, scaled, type Term, withinLimits } from './terms.ts';
import type { Tick } from './ticks.ts';

/** Of a stretch whose one end lies near full, where every gauge is right, %. Own judgement, tuned. */
const UNEVEN_PCT = 0.26;
/** Fewer percents say too little. */
const LEAST_PCT = 10;
/** Under load a battery's terminals give less of its content than at rest. Common practice, no source. */
const AT_REST = { more: 0.015, deviation: 0.01 };

export interface PerPercent {
  readonly wh: number;
  readonly terms: readonly Term[];
}

interface Measured {
  readonly samples: TrialSamples;
  readonly gapLimitMs: number;
}

/** First and last of the single ticks between two percents, either way; null where they are too near each other. */
export function endsOf(ticks: readonly Tick[], lowest: number, highest: number): readonly [Tick, Tick] | null {
  const single = ticks.filter(t => Math.abs(t.to - t.from) === 1 && t.to >= lowest && t.to <= highest);
  const [first, last] = [single[0], single.at(-1)];
  return first === undefined || last === undefined || Math.abs(last.to - first.to) < LEAST_PCT ? null : [first, last];
}

/** @param digits names the instrument, see `countedWh` */
export function energyPerPercent(
  { samples: s, gapLimitMs }: Measured,
  column: Float64Array,
  [first, last]: readonly [Tick, Tick],
  digits: string,
): PerPercent {
  const [a, b] = [indexAt(s.at, first.at), indexAt(s.at, last.at)];
  const moved = Math.abs(last.to - first.to);
  const since = (tick: Tick, k: number) => ((column[k]! || 0) * (s.at[k]! - tick.at)) / HOUR_MS;
  const wh = (energyOf(s.at, column, a, b, gapLimitMs).energyWh + since(first, a) - since(last, b)) / moved;
  const counted = countedWh(s, column, a, b, gapLimitMs, digits, { begin: false, end: false });
  const moment = (tick: Tick, k: number) =>
    withinLimits('tickMoment', ((column[k]! || 0) * tick.widthMs) / 2 / HOUR_MS / moved);
  return {
    wh,
    terms: [
      ...scaled(counted.terms, 1 / moved),
      moment(first, a),
      moment(last, b),
      normalTerm('unevenPercents', (wh * UNEVEN_PCT) / moved),
    ],
  };
}

/** What a percent holds at rest, from a discharge's `batteryPerPercentWh`: for own draw and converter of that station. */
export function heldAtRest(figure: Figure): NonNullable<OwnDrawOptions['perPctWh']> {
  const value = figure.value * (1 + AT_REST.more);
  return { value, standardUncertainty: Math.hypot(figure.standardUncertainty, AT_REST.deviation * value) };
}
