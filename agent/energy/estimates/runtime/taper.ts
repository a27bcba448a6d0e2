/**
 * How charging slows near full: full power up to an onset, then falling to a small share at 100 %, and a rest at 99 %
 * until the station says full. Before any full charge was seen all of that is drawn from what is usual for lithium iron
 * phosphate (one measured charge of a 12.8 V bank, W. K. Collis, CC BY 4.0; the ranges around it: own judgement), and
 * tapers that fit what this charge has shown so far count more. Shares are of what goes into the battery.
 */
import type { Chance } from '../chance.ts';
import { pick, runningSums } from './weighted.ts';

export interface Taper {
  /** Share of full power at a state of charge, 0-1. */
  share(pct: number): number;
  /** Minutes from where 100 % could be shown until it is. */
  restMin: number;
  /** Minutes left in all, where the station is in its last percent and those are known. */
  leftMin?: number;
}

/** What the charge that runs has shown: the mean share of full power over each percent, and minutes where 100 % could be shown. */
export interface ChargeSoFar {
  shares: readonly { pct: number; share: number }[];
  restedMin: number;
  /** Minutes a percent takes at full power. */
  usualMin: number;
  /** What load and station take besides, as a share of what goes into the battery at full power. */
  besides: number;
}

const ONSET_PCT = [82, 97] as const;
const END_SHARE = [0.04, 0.12] as const;
const SHAPE = [0.7, 1.3] as const;
const REST_MIN = 15;
/** Stations of which the whole input falls, load included; they charge at this at least (own judgement). */
const WHOLE_SHARE = 0.2;
const LEAST_SHARE = 0.01;
/** Drawn to choose from. */
const CANDIDATES = 400;
/** How well a share is told by the powers seen (standard deviation; own judgement). */
const SHARE_SD = 0.05;
/** Tapers tried for one that still rests; and what is left where none would, as a share of the rest so far. */
const TRIED = 10;
const LEFT_SHARE = 0.2;

const between = ([low, high]: readonly [number, number], uniform: number) => low + (high - low) * uniform;

/**
 * Tapers of a source never seen to fill the station. A station may round what it shows down, to the nearest or up, and
 * may say full there or when it is truly full; what falls may be the charge alone or the whole of the input.
 *
 * @returns a draw
 */
export function unknownTapers(chance: Chance, seen: ChargeSoFar): () => Taper {
  const candidates = Array.from({ length: CANDIDATES }, () => {
    const shift = Math.floor(3 * chance.uniform()) / 2 - 0.5;
    const falls = taperOf(
      between(ONSET_PCT, chance.uniform()) - shift,
      between(END_SHARE, chance.uniform()),
      between(SHAPE, chance.uniform()),
      100 - shift,
    );
    const besides = chance.uniform() < WHOLE_SHARE ? Math.max(0, seen.besides) : 0;
    const taper = (pct: number) => Math.max(LEAST_SHARE, falls(pct) * (1 + besides) - besides);
    // At the last share, from where 100 % could be shown to where it is.
    const beyondMin = chance.uniform() < 0.5 ? 0 : ((0.5 - shift) * seen.usualMin) / taper(100);
    return { share: taper, topMin: beyondMin + REST_MIN * chance.uniform() };
  });
  const weights = Float64Array.from(candidates, ({ share }) => {
    const squares = seen.shares.reduce((sum, s) => sum + ((share(s.pct) - s.share) / SHARE_SD) ** 2, 0);
    return Math.exp(-squares / 2) + 1e-30;
  });
  const sums = runningSums(weights);
  const draw = () => candidates[pick(sums, chance.uniform())]!;
  return () => {
    let taper = draw();
    for (let i = 1; i < TRIED && taper.topMin <= seen.restedMin; i++) taper = draw();
    const restMin = Math.max(taper.topMin - seen.restedMin, LEFT_SHARE * seen.restedMin * chance.uniform());
    return { share: taper.share, restMin };
  };
}

function taperOf(onset: number, end: number, shape: number, full: number): Taper['share'] {
  return pct =>
    pct <= onset ? 1 : Math.max(end, 1 - (1 - end) * Math.min(1, (pct - onset) / (full - onset)) ** shape);
}
