/** When a station seems to tell other units than before. */
import { quantityRow } from '#kit/quantities';

interface Units {
  quantity: string;
  as: string;
  was: number;
  is: number;
}

export const unitQuestion = ({ quantity, as, was, is }: Units, number: (value: number) => string): string =>
  `The station’s figure for “${quantityRow(quantity)?.label ?? quantity}” has changed at once (${as}: ${number(was)} before, ${number(is)} now). Does it tell other units now?`;
export const UNITS_CONFIRM = 'Yes, take its numbers as they come now';
export const UNITS_WHY =
  'Until then nothing of it is counted. If nothing was changed at the station, look at its cable and its adapter first.';
