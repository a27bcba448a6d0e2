/** The sentence of a report, and what its range rests on. What rests on own watts is told as unsure as these are. */
import { PRESUMED } from '#energy/estimates/trials/kinds';
import { asTrue, isByOwnWatts } from '#energy/estimates/trials/true-value';
import type { WireFigure, WireTrial } from '#messages';
import { toldWith } from './numbers.ts';
import * as words from './words.ts';

export const figureName = ({ what, atW }: Pick<WireFigure, 'what' | 'atW'>): string =>
  `${words.FIGURE_NAMES[what]}${atW === null ? '' : ` at ${Math.round(atW)} W`}`;

/** First what a report leads with. */
const LEADS = [
  'deliveredByMeterWh',
  'deliveredWh',
  'ownDrawW',
  'efficiencyPct',
  'minutesTo100',
  'takenInWh',
  'ofClearSkyPct',
  'bOfAPct',
] as const;

/** Of several loads the largest, as the page leads with. */
function leadOf({ judgement }: WireTrial): WireFigure | undefined {
  for (const what of LEADS) {
    const found = judgement.result?.figures.filter(f => f.what === what) ?? [];
    if (found.length > 0) return found.reduce((a, b) => ((b.atW ?? 0) > (a.atW ?? 0) ? b : a));
  }
  return undefined;
}
const ownLimit = ({ options }: WireTrial): number => options.ownWattsLimitPct ?? PRESUMED.ownWattsLimitPct;

/** As it is told everywhere in a report: with how far own watts may be off in its range. */
export const trueFigure = (trial: WireTrial, figure: WireFigure): WireFigure => {
  const told = asTrue(figure, { station: trial.station, ownWattsLimitPct: ownLimit(trial) });
  return { ...told, budget: [...told.budget] };
};

export function sentence(trial: WireTrial): string {
  const { judgement, stationName } = trial;
  const kind = words.KIND_NAMES[trial.kind]!.toLowerCase();
  if (judgement.phase === 'spoiled') return `${stationName}: ${kind} cannot be told, the trial was spoiled.`;
  const lead = leadOf(trial);
  if (lead === undefined) return `${stationName}: ${kind}, nothing measured yet.`;
  const soFar =
    judgement.phase === 'running' ? ' so far' : judgement.phase === 'interrupted' ? ' until it was interrupted' : '';
  const own = figureName(lead);
  const name = words.LEAD_NAMES[lead.what] ?? own.charAt(0).toLowerCase() + own.slice(1);
  return `${stationName}: ${name} ${toldWith(trueFigure(trial, lead), lead.unit)}${soFar}.`;
}

/** Below the sentence; '' where there is nothing to say. */
export function sureOf(trial: WireTrial): string {
  const lead = leadOf(trial);
  if (lead === undefined) return '';
  return isByOwnWatts(lead)
    ? words.byOwnWatts(ownLimit(trial), toldWith(lead, lead.unit))
    : words.restsOn(words.AGAINST[lead.against]);
}
