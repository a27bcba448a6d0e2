/**
 * A figure as a true value. A result tells energies and watts by the station's own watts, apart from how far these may be
 * off as a whole: that is one cause for the whole station, and cancels between two results of it. Whoever is told such a
 * figure as a fact is told it with that cause in the range.
 */
import { type Figure, type FigureName, figureOf, termsOf } from './figure.ts';
import { ownGain } from './own-watts.ts';
import type { Term } from './terms.ts';

/** Whose watts they are, and how far off these may be, %. */
export interface OwnWatts {
  readonly station: string;
  readonly ownWattsLimitPct: number;
}

/** Figures that scale with the station's own watts, and on which side these are. */
const BY_OWN_WATTS: Partial<Record<FigureName, 'out' | 'in'>> = {
  deliveredWh: 'out',
  shareOfRatedPct: 'out',
  meanLoadW: 'out',
  perPercentWh: 'out',
  takenInWh: 'in',
  inPerPercentWh: 'in',
  peakW: 'in',
  harvestWh: 'in',
};

/** Whether it is as far off as the own watts are, and its range does not say so by itself. */
export const isByOwnWatts = ({ what, against }: Pick<Figure, 'what' | 'against'>): boolean =>
  against === 'ownWatts' && BY_OWN_WATTS[what] !== undefined;

/** A figure's terms with how far the own watts may be off. */
export function trueTerms(figure: Figure, { station, ownWattsLimitPct }: OwnWatts): Term[] {
  const side = isByOwnWatts(figure) ? BY_OWN_WATTS[figure.what] : undefined;
  const terms = termsOf(figure);
  return side === undefined ? terms : [...terms, ownGain(figure.value, ownWattsLimitPct, station, side)];
}

/** The same figure with the range that holds the true value 19 times in 20. */
export const asTrue = (figure: Figure, of: OwnWatts): Figure =>
  isByOwnWatts(figure)
    ? figureOf(figure.what, figure.value, figure.unit, figure.against, trueTerms(figure, of), figure.atW)
    : figure;
