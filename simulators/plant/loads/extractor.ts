/**
 * The honey extractor's motor, on some afternoons: a few minutes of spinning, a few of changing frames. The beekeeper
 * starts a session only with a well-filled station. Invented figures.
 */
import { draw, drawBetween, noise, STREAM } from '../chance.ts';
import { type Load, type Moment, onceEach } from './load.ts';

const RUN_W = 165;
const SESSION_MINUTES = 70;
const CYCLE_MINUTES = 9;
const SPIN_MINUTES = 5;
const SHARE_OF_DAYS = 0.45;
const NEEDS_PCT = 68;

/** The motor on an AC outlet. */
export function createExtractor(seed: number): Load {
  const started = onceEach((moment: Moment) => moment.shownPct >= NEEDS_PCT);
  return {
    name: 'extractor',
    side: 'ac',
    draw(moment) {
      const { day, minute, ms } = moment;
      if (minute < 800 || minute > 990 || draw(seed, STREAM.extractor, day.number * 2) > SHARE_OF_DAYS) return 0;
      const since = minute - drawBetween(seed, STREAM.extractor, day.number * 2 + 1, 810, 900);
      if (since < 0 || since > SESSION_MINUTES || !started(day.number, moment) || !moment.acOn) return 0;
      const spinning = since % CYCLE_MINUTES;
      if (spinning > SPIN_MINUTES) return 0;
      // A full basket takes a while to come up to speed.
      return RUN_W * (1 + 0.8 * Math.exp(-spinning * 4)) * (0.95 + 0.1 * noise(seed, STREAM.extractor, ms / 4_000));
    },
  };
}
