/**
 * A small fridge for queens' candy and lunch: a thermostat with hysteresis, so that its duty follows the air, and a
 * timed defrost before dawn after which it always starts from the same warmth (so the plant forgets its past).
 * A start draws several times its running power for some tenths of a second (measured: one-second peaks of 6-8 times).
 * Measured fridges run 60-150 W at a duty of 0.2-0.4 in cycles of about an hour; these figures are invented.
 */
import { drawBetween, STREAM } from '../chance.ts';
import type { Load } from './load.ts';

const RUN_W = 57;
const ON_ABOVE_C = 6.2;
const OFF_BELOW_C = 3.4;
/** Seconds for the inside to follow the air by 63 % with the compressor off. */
const LEAK_S = 19_000;
/** Cooling while running, K/s. */
const COOLING_K_PER_S = 0.0036;
/** A start: this much more, spread over as little as a second, Ws and W. */
const START_WS = 320;
const START_MAX_W = 420;
const DEFROST_MINUTE = 215;
const DEFROST_MINUTES = 22;
const AFTER_DEFROST_C = 7;

/** The fridge on an AC outlet. */
export function createFridge(seed: number): Load {
  let insideC = 5;
  let running = false;
  let runningS = 0;
  let startWs = 0;
  return {
    name: 'fridge',
    side: 'ac',
    draw({ dtS, airTempC, minute, ms, acOn }) {
      // A door opened now and then lets warm air in: the leak varies by the quarter hour, most by day.
      const door =
        minute > 400 && minute < 1300 ? drawBetween(seed, STREAM.door, Math.floor(ms / 900_000), 0.85, 1.5) : 1;
      insideC += ((airTempC - insideC) * door * dtS) / LEAK_S;
      const defrosting = minute >= DEFROST_MINUTE && minute < DEFROST_MINUTE + DEFROST_MINUTES;
      if (defrosting) insideC = AFTER_DEFROST_C;
      if (!acOn || defrosting || insideC < OFF_BELOW_C) running = false;
      else if (insideC > ON_ABOVE_C) running = true;
      if (!running) {
        runningS = 0;
        startWs = START_WS;
        return 0;
      }
      const startW = Math.min(START_MAX_W, startWs / dtS);
      startWs = Math.max(0, startWs - startW * dtS);
      insideC -= COOLING_K_PER_S * dtS;
      runningS += dtS;
      // The compressor draws more while it builds up pressure.
      return RUN_W * (1 + 0.4 * Math.exp(-runningS / 50)) + startW;
    },
  };
}
