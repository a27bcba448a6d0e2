/**
 * How charging slows near full: full power up to an onset, then falling to a small share at 100 %, and a rest at 99 %
 * until the station says full. Before any full charge was seen all of that is drawn from what is usual for lithium iron
 * phosphate (one measured charge of a 12.8 V bank, W. K. Collis, CC BY 4.0; the ranges around it: own judgement);
 * afterwards from the sessions seen, mixed anew for each course, and varied as sessions of one station differ.
 */
import type { Chance } from '../chance.ts';

/** One full charge from one kind of source. */
export interface ChargeSession {
  /** Mean power at each whole percent from `FIRST_PCT` to 99, as a share of the power before the fall; rests count. */
  shares: number[];
}

/** Shares are kept from here to 99 %. */
export const FIRST_PCT = 70;

/** How two sessions of one station differ: in all, and in the last percents with their rest (logarithms; own judgement). */
const PACE_SPREAD = 0.045;
const TOP_SPREAD = 0.22;
const TOP_PCT = 97;
const LEAST_SHARE = 0.005;

export interface Taper {
  /** Share of full power at a state of charge, 0-1. */
  share(pct: number): number;
  /** Minutes at the top before the station says full. */
  restMin: number;
}

export function drawTaper(chance: Chance, sessions: readonly ChargeSession[]): Taper {
  if (sessions.length > 0) return seenTaper(chance, sessions);
  const onset = 82 + 15 * chance.uniform();
  const end = 0.04 + 0.08 * chance.uniform();
  const shape = 0.7 + 0.6 * chance.uniform();
  return {
    share: pct =>
      pct <= onset ? 1 : Math.max(end, 1 - (1 - end) * Math.min(1, (pct - onset) / (100 - onset)) ** shape),
    restMin: 15 * chance.uniform(),
  };
}

/** The time each percent takes: a mean over the sessions with weights drawn anew (D. Rubin, Ann. Statist. 9 (1981) 130). */
function seenTaper(chance: Chance, sessions: readonly ChargeSession[]): Taper {
  const weights = sessions.map(() => -Math.log(1 - chance.uniform()));
  const all = weights.reduce((a, b) => a + b, 0);
  const pace = Math.exp(PACE_SPREAD * chance.normal());
  const top = Math.exp(TOP_SPREAD * chance.normal());
  const timeAt = (i: number) =>
    sessions.reduce((sum, { shares }, s) => sum + weights[s]! / all / Math.max(LEAST_SHARE, shares[i]!), 0);
  const times = Array.from({ length: 100 - FIRST_PCT }, (_, i) => {
    const time = timeAt(i);
    return time < 1.03 ? time : time * pace * (i + FIRST_PCT >= TOP_PCT ? top : 1);
  });
  return {
    share(pct) {
      if (pct < FIRST_PCT - 0.5) return 1;
      // A shown percent stands for half a percent on either side of it.
      return Math.min(1, 1 / times[Math.min(times.length - 1, Math.round(pct) - FIRST_PCT)]!);
    },
    restMin: 0,
  };
}
