/**
 * Watts as the big figure shows them: three digits and one point at most, so that they can be read from three metres
 * and nothing beside them moves. Pure.
 */
import { asText, type Figure, type Formats, MISSING } from '../../format.ts';

/** Below this tenths are told, where there are any. */
const TENTHS_BELOW_W = 9.95;

/** @param watts null: missing */
export function figureText(watts: number | null, { number }: Pick<Formats, 'number'>): Figure {
  if (watts === null) return { text: MISSING, unit: '' };
  if (Math.round(watts) < 1000) {
    const whole = watts >= TENTHS_BELOW_W || Math.abs(watts - Math.round(watts)) < 0.05;
    return { text: number(watts, whole ? 0 : 1), unit: 'W' };
  }
  const kilo = watts / 1000;
  return { text: number(kilo, kilo < 9.995 ? 2 : kilo < 99.95 ? 1 : 0), unit: 'kW' };
}

/** Half a range, rounded up to whole watts: never said to be surer than it is. */
export const giveOrTake = (watts: number, formats: Formats): string =>
  asText(formats.power(Math.max(1, Math.ceil(watts))));

/** Of this typeface with its letters set 0.03 em closer, at its heaviest; ems. */
const DIGIT_EM = 0.602;
const POINT_EM = 0.27;
/** How much of the room for three digits and a point a figure leaves free, ems. */
export function spareEms(text: string): number {
  const digits = text.match(/\d/g)?.length ?? 1;
  return 3 * DIGIT_EM + POINT_EM - digits * DIGIT_EM - (/\d\D\d/.test(text) ? POINT_EM : 0);
}
