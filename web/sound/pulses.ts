/**
 * From watts to pulses: 1 to 10 a second, rising with watts relative to the best of the last ten minutes, each of a pitch
 * from 440 to 1320 Hz that says the same again; equal parts of the way are equal factors. A small change is eased in over
 * half a second, a greater one is heard at once. Within 2 % of the best a fifth sounds along. Pure: time is the audio
 * clock's, in seconds.
 */

const SLOWEST_HZ = 1;
const FASTEST_HZ = 10;
const LOWEST_HZ = 440;
const HIGHEST_HZ = 1320;
const BEST_OF_S = 600;
/** Least best, W: below, watts are noise. */
const BEST_AT_LEAST_W = 10;
/** 95 % of the way in half a second. */
const EASE_S = 0.5 / 3;
/** Of the best; a change of more is no hunting. */
const AT_ONCE = 0.03;
const NEAR_BEST = 0.98;
const FIFTH = 1.5;
const LONGEST_S = 0.05;
const OF_INTERVAL = 0.5;
const STEP_S = 0.005;
/** Between a pulse and one that is brought forward, at least; less where pulses are closer. */
const APART_S = 0.06;
const APART_SHARE = 0.9;

export interface Pulse {
  readonly atS: number;
  readonly lengthS: number;
  readonly hz: number;
  /** Sounds along near the best. */
  readonly alsoHz: number | null;
}

/** Pulses a second at a share 0..1 of the best. */
export const rateOf = (share: number): number => SLOWEST_HZ * (FASTEST_HZ / SLOWEST_HZ) ** share;
/** Pitch at a share, Hz. */
export const pitchOf = (share: number): number => LOWEST_HZ * (HIGHEST_HZ / LOWEST_HZ) ** share;

export function createPulses() {
  /** Highest first by time: each later one is lower. */
  let bests: { atS: number; watts: number }[] = [];
  let target: number | null = null;
  let share = 0;
  /** Part of the way from one pulse to the next. */
  let phase = 0;
  /** The next one is brought forward: nobody waits for a slow pulse to hear of a change. */
  let due = false;
  let doneS = Number.NaN;
  let lastPulseS = Number.NEGATIVE_INFINITY;

  const pulseAt = (atS: number): Pulse => {
    lastPulseS = atS;
    return {
      atS,
      lengthS: Math.min(LONGEST_S, OF_INTERVAL / rateOf(share)),
      hz: pitchOf(share),
      alsoHz: share >= NEAR_BEST ? pitchOf(share) * FIFTH : null,
    };
  };

  return {
    /** @param atS now, by the audio clock */
    reading(watts: number, atS: number): void {
      bests = bests.filter(best => best.atS > atS - BEST_OF_S && best.watts > watts);
      bests.push({ atS, watts });
      const next = Math.min(1, Math.max(0, watts / Math.max(BEST_AT_LEAST_W, bests[0]!.watts)));
      const first = target === null;
      target = next;
      if (!first && Math.abs(next - share) <= AT_ONCE) return;
      share = next;
      due = true;
    },
    /** Within 2 % of the best. */
    nearBest: (): boolean => target !== null && target >= NEAR_BEST,
    /** Nothing more until the next reading; the best is kept. */
    silence(): void {
      target = null;
      doneS = Number.NaN;
    },
    /** Pulses not given yet that begin before `untilS`, none before `nowS`. */
    until(untilS: number, nowS: number): Pulse[] {
      const pulses: Pulse[] = [];
      if (target === null) return pulses;
      // What time went by unheard is not caught up with.
      if (!(doneS >= nowS)) doneS = nowS;
      while (doneS < untilS) {
        const stepS = Math.min(STEP_S, untilS - doneS);
        doneS += stepS;
        share += (target - share) * -Math.expm1(-stepS / EASE_S);
        const rate = rateOf(share);
        phase += rate * stepS;
        const forward = due && doneS - lastPulseS >= Math.min(APART_S, APART_SHARE / rate);
        if (phase < 1 && !forward) continue;
        const overS = Math.max(0, (phase - 1) / rate);
        pulses.push(pulseAt(doneS - overS));
        phase = overS * rate;
        due = false;
      }
      return pulses;
    },
  };
}

export type Pulses = ReturnType<typeof createPulses>;
