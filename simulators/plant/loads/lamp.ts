/** A lamp over the bench from dusk until the beekeeper goes in. Invented figures. */
import { drawBetween, STREAM } from '../chance.ts';
import type { Load } from './load.ts';

const LAMP_W = 11;
/** Sine of the elevation below which it is too dark to work: about 3° under the horizon. */
const DUSK = -0.05;

/** The lamp on a DC outlet. */
export function createLamp(seed: number): Load {
  return {
    name: 'lamp',
    side: 'dc',
    draw({ day, minute, sunUp, dcOn }) {
      if (!dcOn || sunUp > DUSK || minute < 960) return 0;
      return minute < drawBetween(seed, STREAM.lamp, day.number, 1260, 1370) ? LAMP_W : 0;
    },
  };
}
