/**
 * The solar port: a converter that hunts the maximum power point by perturbing its voltage and watching the power,
 * a few times a second, and sweeps the whole range after a large drop and every ten minutes. Between sweeps it can sit
 * on the lower of two hills under partial shade. Limits act at once (a current loop of milliseconds); hunting takes
 * seconds. In steps of more than two seconds hunting is not followed: it stands on its hill, less what hunting costs.
 */
import { currentOf, evenMaximum, openCircuitOf, type Strings } from './string.ts';

export interface PortFacts {
  readonly name: string;
  readonly maxW: number;
  readonly maxA: number;
  /** Below `minV` it does not start; above `maxV` it refuses. */
  readonly minV: number;
  readonly maxV: number;
}

export interface Tracked {
  powerW: number;
  /** What it would have brought in without any limit, W. */
  offerW: number;
  voltageV: number;
  /** What holds it back: nothing, the watts it was allowed, or the port's own amps or volts. */
  heldBy: 'nothing' | 'watts' | 'port';
}

const PERTURBATIONS_PER_S = 4;
const SMALLEST_V = 0.2;
const LARGEST_V = 1.2;
const SWEEP_POINTS = 14;
/** Share of the usual power under which a sweep begins. */
const DROP_SHARE = 0.65;
/** Least time between two sweeps after drops; and one is due anyway at every whole ten minutes of the clock. */
const SWEEP_REST_S = 45;
const SWEEP_EVERY_MS = 600_000;
const START_S = 6;
/** Above `minV` by this much before it starts, V. */
const START_MARGIN_V = 1.5;
const COARSE_S = 2;
/** What hunting costs on the average, found by running the same days in fine steps. */
const HUNTING_SHARE = 0.002;

/** One port. `step` is called in order of time with the strings as they are lit now. */
export function createTracker(port: PortFacts) {
  let voltageV = 0;
  let stepV = SMALLEST_V;
  let up = false;
  let lastW = 0;
  let usualW = 0;
  let sinceSweepS = SWEEP_REST_S;
  let slot = Number.NaN;
  let slotDue = false;
  let waitedS = 0;
  let running = false;
  let credit = 0;
  let sweepAt = -1;
  let sweepBestV = 0;
  let sweepBestW = 0;
  let heldV = 0;

  /** A voltage as near to the wanted one as the window and the open circuit let it be. */
  const inside = (wantedV: number, openV: number): number => Math.max(port.minV, Math.min(openV * 0.995, wantedV));

  const powerAt = (strings: Strings, v: number): number => v * currentOf(strings, v);

  /** Whether the port runs: its voltage window, and a while of waiting before it starts. */
  const awake = (openV: number, dtS: number): boolean => {
    const allowed = openV <= port.maxV && openV >= port.minV + (running ? 0.1 : START_MARGIN_V);
    waitedS = allowed ? waitedS + dtS : 0;
    if (!allowed) running = false;
    else if (!running && waitedS >= START_S) {
      running = true;
      voltageV = inside(0.85 * openV, openV);
      sweepAt = 0;
      sweepBestW = 0;
    }
    return running;
  };

  const sweptV = (openV: number): number => {
    const lowV = Math.max(port.minV, 0.3 * openV);
    return openV * 0.97 - ((openV * 0.97 - lowV) * sweepAt) / (SWEEP_POINTS - 1);
  };

  const sweep = (strings: Strings, openV: number): number => {
    const v = sweptV(openV);
    const w = powerAt(strings, v);
    if (w > sweepBestW) [sweepBestV, sweepBestW] = [v, w];
    if (++sweepAt === SWEEP_POINTS) {
      voltageV = sweepBestV;
      [lastW, usualW, stepV] = [sweepBestW, sweepBestW, LARGEST_V];
      [sweepAt, sinceSweepS] = [-1, 0];
    }
    return w;
  };

  /** One perturbation: keep the direction while power rises, turn and take smaller steps when it falls. */
  const perturb = (strings: Strings, openV: number): number => {
    const w = powerAt(strings, voltageV);
    if (w < lastW) {
      up = !up;
      stepV = Math.max(SMALLEST_V, stepV / 2);
    } else stepV = Math.min(LARGEST_V, stepV * 1.25);
    lastW = w;
    voltageV = inside(voltageV + (up ? stepV : -stepV), openV);
    return w;
  };

  const beginSweepIfDue = (w: number): void => {
    if (sweepAt >= 0) return;
    if (slotDue || (w < DROP_SHARE * usualW && sinceSweepS >= SWEEP_REST_S)) {
      sweepAt = 0;
      sweepBestW = 0;
      slotDue = false;
    }
  };

  /** Power above what is allowed at a voltage, W. */
  const over = (strings: Strings, v: number, limitW: number): number => {
    const amps = currentOf(strings, v);
    return Math.max(v * amps - limitW, (amps - port.maxA) * v);
  };

  /** The voltage between the tracked one and open circuit where the limits are just kept. */
  const hold = (strings: Strings, openV: number, limitW: number, fromV: number, fromOver: number): number => {
    let [a, fa, b, fb] = [fromV, fromOver, openV, -limitW];
    if (heldV > a && heldV < b) {
      const f = over(strings, heldV, limitW);
      if (f > 0) [a, fa] = [heldV, f];
      else [b, fb] = [heldV, f];
    }
    let side = 0;
    for (let k = 0; k < 40 && b - a > 1e-7; k++) {
      const v = (a * fb - b * fa) / (fb - fa);
      const f = over(strings, v, limitW);
      if (Math.abs(f) < 0.01) {
        heldV = v;
        return v;
      }
      // Illinois: the end that stays is halved, so that neither end sticks.
      if (f > 0) {
        [a, fa] = [v, f];
        if (side === 1) fb /= 2;
        side = 1;
      } else {
        [b, fb] = [v, f];
        if (side === -1) fa /= 2;
        side = -1;
      }
    }
    heldV = b;
    return b;
  };

  /** Hunts for the time of a short step; gives the mean power. */
  const hunt = (strings: Strings, openV: number, dtS: number): number => {
    credit += dtS * PERTURBATIONS_PER_S;
    let [sum, count] = [0, 0];
    for (; credit >= 1; credit--) {
      const w = sweepAt >= 0 ? sweep(strings, openV) : perturb(strings, openV);
      beginSweepIfDue(w);
      sum += w;
      count++;
    }
    const meanW = count === 0 ? powerAt(strings, voltageV) : sum / count;
    usualW += (meanW - usualW) * Math.min(1, dtS / 60);
    return meanW;
  };

  /** Climbs the hill it stands on. */
  const climb = (strings: Strings, openV: number, fromV: number): number => {
    let v = inside(fromV, openV);
    let w = powerAt(strings, v);
    for (let size = 1; size > 0.12; ) {
      const tryV = inside(v + (up ? size : -size), openV);
      const tryW = powerAt(strings, tryV);
      if (tryW > w) [v, w, size] = [tryV, tryW, size * 1.6];
      else {
        up = !up;
        size *= 0.55;
      }
    }
    voltageV = v;
    return w;
  };

  /** Stands on its hill after a long step. */
  const settle = (strings: Strings, openV: number): number => {
    const even = evenMaximum(strings);
    if (even !== null) {
      voltageV = inside(even.voltageV, openV);
      const w = even.voltageV >= port.minV ? even.powerW : powerAt(strings, voltageV);
      lastW = w;
      usualW = w;
      return w;
    }
    const here = powerAt(strings, inside(voltageV, openV));
    beginSweepIfDue(here);
    while (sweepAt >= 0) sweep(strings, openV);
    const w = climb(strings, openV, voltageV);
    usualW += (w - usualW) * 0.4;
    lastW = w;
    return w;
  };

  const asleep = (openV: number): Tracked => {
    sweepAt = -1;
    [lastW, usualW] = [0, 0];
    return { powerW: 0, offerW: 0, voltageV: openV, heldBy: openV > port.maxV ? 'port' : 'nothing' };
  };

  return {
    /** @param limitW most it may bring in now: the port's watts, or less where there is no room */
    step(strings: Strings, limitW: number, ms: number, dtS: number): Tracked {
      const now = Math.floor(ms / SWEEP_EVERY_MS);
      if (now !== slot) [slot, slotDue] = [now, true];
      const openV = openCircuitOf(strings);
      if (!awake(openV, dtS)) return asleep(openV);
      sinceSweepS += dtS;
      const fromV = inside(voltageV, openV);
      const hereOver = over(strings, fromV, limitW);
      if (hereOver > 0 && sweepAt < 0 && dtS <= COARSE_S) {
        // Held back, power no longer tells where the hill is: it waits where it is.
        const v = hold(strings, openV, limitW, fromV, hereOver);
        const offerW = powerAt(strings, fromV);
        return heldAt(strings, v, offerW, limitW);
      }
      const offerW = dtS > COARSE_S ? settle(strings, openV) * (1 - HUNTING_SHARE) : hunt(strings, openV, dtS);
      const nowOver = over(strings, inside(voltageV, openV), limitW);
      if (nowOver > 0 || offerW > limitW) {
        const v = nowOver > 0 ? hold(strings, openV, limitW, inside(voltageV, openV), nowOver) : voltageV;
        return heldAt(strings, v, offerW, limitW);
      }
      return { powerW: offerW, offerW, voltageV, heldBy: 'nothing' };
    },
  };

  function heldAt(strings: Strings, v: number, offerW: number, limitW: number): Tracked {
    const powerW = Math.min(limitW, powerAt(strings, v));
    const atAmps = currentOf(strings, v) >= port.maxA * 0.999 && powerW < limitW * 0.999;
    return { powerW, offerW: Math.max(offerW, powerW), voltageV: v, heldBy: atAmps ? 'port' : 'watts' };
  }
}

export type Tracker = ReturnType<typeof createTracker>;
