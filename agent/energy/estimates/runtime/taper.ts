/**
 * How charging slows near full: full power up to an onset, then falling to a small share at 100 %, and a rest at 99 %
 * until the station says full. Before any full charge was seen all of that is drawn from what is usual for lithium iron
 * phosphate (one measured charge of a 12.8 V bank, W. K. Collis, CC BY 4.0; the ranges around it: own judgement);
 * afterwards from the sessions seen, one a course, so that the range holds how they differed.
 */
import type { Chance } from '../chance.ts';

/** One full charge from one kind of source. */
export interface ChargeSession {
  /** Mean power at each whole percent from `FIRST_PCT`, as a share of the power before the fall. */
  shares: number[];
  /** Minutes between 99 % and full. */
  restMin: number;
}

/** Shares are kept from here to 99 %. */
export const FIRST_PCT = 70;

export interface Taper {
  /** Share of full power at a state of charge, 0-1. */
  share(pct: number): number;
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

/** A session seen, its power and rest varied as sessions of one station do (own judgement: 4 % and a quarter). */
function seenTaper(chance: Chance, sessions: readonly ChargeSession[]): Taper {
  const session = sessions[Math.floor(chance.uniform() * sessions.length)]!;
  const pace = Math.exp(0.06 * chance.normal());
  return {
    share: pct => {
      if (pct < FIRST_PCT) return 1;
      const i = Math.min(session.shares.length - 1, pct - FIRST_PCT);
      const low = session.shares[Math.floor(i)]!;
      const high = session.shares[Math.min(session.shares.length - 1, Math.ceil(i))]!;
      return Math.min(1, Math.max(0.02, (low + (i % 1) * (high - low)) * (low < 0.98 ? pace : 1)));
    },
    restMin: session.restMin * Math.exp(0.25 * chance.normal()),
  };
}
