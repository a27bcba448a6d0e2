/** A travel kettle, a few times a day, never when the station shows too little. Invented figures. */
import { drawBetween, STREAM } from '../chance.ts';
import { type Load, type Moment, onceEach } from './load.ts';

const KETTLE_W = 820;
/** Minutes after midnight around which tea is made. */
const USUAL_MINUTES = [395, 620, 805, 945] as const;
const SPARE_BELOW_PCT = 38;

/** The kettle on an AC outlet. */
export function createKettle(seed: number): Load {
  const wanted = onceEach((moment: Moment) => moment.shownPct >= SPARE_BELOW_PCT);
  return {
    name: 'kettle',
    side: 'ac',
    draw(moment) {
      for (let k = 0; k < USUAL_MINUTES.length; k++) {
        const occasion = moment.day.number * USUAL_MINUTES.length + k;
        const since = moment.minute - USUAL_MINUTES[k]!;
        if (since < -26 || since > 31) continue;
        const start = drawBetween(seed, STREAM.kettle, occasion * 3, -25, 25);
        const minutes = drawBetween(seed, STREAM.kettle, occasion * 3 + 1, 2.4, 4.1);
        if (since < start || since >= start + minutes) continue;
        if (!wanted(occasion, moment) || !moment.acOn) return 0;
        return KETTLE_W * drawBetween(seed, STREAM.kettle, occasion * 3 + 2, 0.97, 1.02);
      }
      return 0;
    },
  };
}
