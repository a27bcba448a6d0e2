/**
 * A warming cabinet that keeps honey liquid on some evenings: a heater with a thermostat. Runs only out of plenty.
 * Invented figures.
 */
import { draw, STREAM } from '../chance.ts';
import { type Load, type Moment, onceEach } from './load.ts';

const HEATER_W = 78;
const FROM_MINUTE = 1020;
const TO_MINUTE = 1230;
const SHARE_OF_DAYS = 0.7;
const NEEDS_PCT = 84;
const HOLD_C = 36;

/** The cabinet on an AC outlet. */
export function createCabinet(seed: number): Load {
  const wanted = onceEach(
    (moment: Moment) => moment.shownPct >= NEEDS_PCT && draw(seed, STREAM.cabinet, moment.day.number) < SHARE_OF_DAYS,
  );
  let insideC = 20;
  let heating = false;
  return {
    name: 'warming cabinet',
    side: 'ac',
    draw(moment) {
      insideC += ((moment.airTempC - insideC) * moment.dtS) / 5_400;
      const evening = moment.minute >= FROM_MINUTE && moment.minute < TO_MINUTE;
      if (!evening || !moment.acOn || !wanted(moment.day.number, moment)) {
        heating = false;
        return 0;
      }
      if (insideC > HOLD_C + 1.5) heating = false;
      else if (insideC < HOLD_C - 1.5) heating = true;
      if (!heating) return 0;
      insideC += 0.0085 * moment.dtS;
      return HEATER_W;
    },
  };
}
