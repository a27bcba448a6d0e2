/**
 * Battery watts from percents lost over time: from one tick to another, so that however the station rounds does not
 * matter; from the whole percents alone where fewer than two ticks were seen, give or take one. What a percent holds comes
 * from the label (97 % of it within 3 %, as stations measured by others deliver on the battery's side; common practice)
 * or was measured.
 */
import { energyAt, LFP_MAP } from '../energy-map.ts';
import type { CommonOptions, OwnDrawOptions } from './asked.ts';
import { HOUR_MS } from './samples.ts';
import { betweenTwo, normalTerm, type Term, withinLimits } from './terms.ts';
import type { Tick } from './ticks.ts';

/** Of the label, on the battery's side. */
const HOLDS = { share: 0.97, deviation: 0.03 };
/** How wrong a gauge counts a current, relative; how far a boundary lies off. Own judgement, tuned. */
const COUNT_DEVIATION = 0.015;
const BOUNDARY_PCT = 0.13;
/** Percents grow uneven with their distance, % of charge each, up to a limit. */
const UNEVEN_PER_PCT = 0.008;
const UNEVEN_MOST_PCT = 0.3;

export interface PercentPower {
  readonly powerW: number;
  readonly fellPct: number;
  readonly hours: number;
  readonly terms: readonly Term[];
}

/** What one percent holds on the battery's side, Wh, and the standard uncertainty of that, relative. */
export function perPercent(
  options: CommonOptions & { readonly perPctWh: OwnDrawOptions['perPctWh'] },
): { wh: number; relative: number } | null {
  const { perPctWh, ratedWh } = options;
  if (perPctWh !== null) return { wh: perPctWh.value, relative: perPctWh.standardUncertainty / perPctWh.value };
  return ratedWh === null ? null : { wh: (HOLDS.share * ratedWh) / 100, relative: HOLDS.deviation / HOLDS.share };
}

export const unevenPct = (fellPct: number): number =>
  Math.hypot(Math.SQRT2 * BOUNDARY_PCT, Math.min(UNEVEN_MOST_PCT, UNEVEN_PER_PCT * fellPct));

const commonTerms = (powerW: number, relative: number, station: string): Term[] => [
  normalTerm('perPercent', powerW * relative, `perPercent:${station}`),
  normalTerm('gaugeCount', powerW * COUNT_DEVIATION, `gauge:${station}`),
];

/** From one tick of a fall to another. Energy lies a little uneven over the charge, as in the cell. */
export function tickToTick(
  first: Tick,
  last: Tick,
  percent: { readonly wh: number; readonly relative: number },
  station: string,
): PercentPower {
  const fellPct = first.to - last.to;
  const hours = (last.at - first.at) / HOUR_MS;
  const energyPct = energyAt(LFP_MAP, first.to + 0.5) - energyAt(LFP_MAP, last.to + 0.5);
  const powerW = (energyPct * percent.wh) / hours;
  const moment = (tick: Tick) => withinLimits('tickMoment', (powerW * tick.widthMs) / 2 / HOUR_MS / hours);
  return {
    powerW,
    fellPct,
    hours,
    terms: [
      ...commonTerms(powerW, percent.relative, station),
      normalTerm('unevenPercents', (powerW * unevenPct(fellPct)) / fellPct),
      moment(first),
      moment(last),
    ],
  };
}

/** From the whole percents at both ends: each anywhere within one. */
export function wholePercents(
  fromPct: number,
  toPct: number,
  hours: number,
  percent: { readonly wh: number; readonly relative: number },
  station: string,
): PercentPower {
  const fellPct = fromPct - toPct;
  const powerW = (fellPct * percent.wh) / hours;
  return {
    powerW,
    fellPct,
    hours,
    terms: [
      ...commonTerms(powerW, percent.relative, station),
      betweenTwo('wholePercents', percent.wh / hours),
      normalTerm('unevenPercents', (unevenPct(fellPct) * percent.wh) / hours),
    ],
  };
}
