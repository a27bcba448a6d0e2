/**
 * The time each percent takes near full, from full charges seen: a mean over them with weights drawn anew (D. Rubin, Ann.
 * Statist. 9 (1981) 130), varied as sessions of one station differ. A charge that has come into its fall tells by the
 * percents gone through whether it is a slow or a quick one.
 */
import type { Chance } from '../chance.ts';
import type { Taper } from './taper.ts';

/** One full charge from one kind of source. */
export interface ChargeSession {
  /** Mean power at each whole percent from `FIRST_PCT` to 99, as a share of the power before the fall; rests count. */
  shares: number[];
}

/** Minutes spent at each shown percent of the charge that runs; the percent shown now is not over. */
export interface ChargeMinutes {
  /** Index: percent. 0 where not gone through from its beginning. */
  minutes: ArrayLike<number>;
  shownPct: number;
  /** Of a percent before the fall. */
  usualMin: number;
}

/** Shares are kept from here to 99 %. */
export const FIRST_PCT = 70;

/** How two sessions of one station differ: in all, and in the last percents with their rest (logarithms; own judgement). */
const PACE_SPREAD = 0.045;
const TOP_SPREAD = 0.13;
const TOP_PCT = 97;
const LEAST_SHARE = 0.005;
/** A percent that takes so much longer than usual belongs to the fall. */
const SLOWED = 1.03;
/** Times of a usual percent that the fall must have taken before its own pace counts half. */
const PACE_KNOWN = 2;
/** Of what a percent takes, left at least while it is still shown. */
const LEAST_LEFT = 0.1;

/** @returns a draw */
export function seenTapers(chance: Chance, sessions: readonly ChargeSession[], now: ChargeMinutes | null): () => Taper {
  const usual = paceSoFar(sessions, now);
  return () => {
    const weights = sessions.map(() => -Math.log(1 - chance.uniform()));
    const all = weights.reduce((a, b) => a + b, 0);
    const pace = Math.exp(PACE_SPREAD * chance.normal());
    const top = Math.exp(TOP_SPREAD * chance.normal());
    const times = Array.from({ length: 100 - FIRST_PCT }, (_, i) => {
      const pct = i + FIRST_PCT;
      const time = sessions.reduce((sum, s, k) => sum + weights[k]! / all / Math.max(LEAST_SHARE, s.shares[i]!), 0);
      return time < SLOWED ? time : time * pace * usual(pct) * (pct >= TOP_PCT ? top : 1);
    });
    return {
      share(pct) {
        if (pct < FIRST_PCT - 0.5) return 1;
        // A shown percent stands for half a percent on either side of it.
        return Math.min(1, 1 / times[Math.min(times.length - 1, Math.round(pct) - FIRST_PCT)]!);
      },
      restMin: 0,
      ...(now?.shownPct === 99 ? { leftMin: lastPercentLeft(times.at(-1)! * now.usualMin, now) } : {}),
    };
  };
}

const lastPercentLeft = (takesMin: number, { minutes }: ChargeMinutes): number =>
  Math.max(LEAST_LEFT * takesMin, takesMin - minutes[99]!);

/** How this charge's fall goes against the mean of those seen; the nearer to full, the less it says. */
function paceSoFar(sessions: readonly ChargeSession[], now: ChargeMinutes | null): (pct: number) => number {
  let took = 0;
  let usual = 0;
  for (let pct = FIRST_PCT; now !== null && pct < now.shownPct; pct++) {
    const mean = sessions.reduce((sum, s) => sum + 1 / s.shares[pct - FIRST_PCT]!, 0) / sessions.length;
    if (mean < SLOWED || now.minutes[pct] === 0) continue;
    took += now.minutes[pct]! / now.usualMin;
    usual += mean;
  }
  if (usual === 0) return () => 1;
  const power = (Math.log(took / usual) * usual) / (usual + PACE_KNOWN);
  return pct => Math.exp(power * Math.min(1, (100 - pct) / (101 - now!.shownPct)));
}
