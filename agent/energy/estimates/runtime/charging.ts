/**
 * Steady input that is not the sun, as the courses take it: what of it goes into the battery, how that falls near full, by
 * the charges seen or as is usual, and the rest at the top. Powers in W, energies in Wh of the label.
 */
import type { Chance } from '../chance.ts';
import { type ChargeMinutes, type ChargeSession, seenTapers } from './seen-taper.ts';
import { type Taper, unknownTapers } from './taper.ts';

export interface ChargerInput {
  /** W: of the last five minutes, and at its highest in this charge. */
  powerW: number;
  fullW: number;
  /** What it carries meanwhile, W. */
  loadW: number;
  /** Full charges seen from its source. */
  sessions: readonly ChargeSession[];
  /** Of the charge that runs: minutes and mean power of each percent, and minutes where 100 % could be shown. */
  minutes: ChargeMinutes | null;
  powers: readonly { pct: number; powerW: number }[];
  restedMin: number;
}

/** What the station makes of a watt out, of none, and of one in; drawn for a course, or their means. */
export interface Worth {
  outCost: number;
  ownW: number;
  inWorth: number;
}

/** Steady input as each step of a course takes it. */
export interface Flow {
  /** What comes in, Wh a step. */
  gainWh: number;
  /** Most that goes into the battery in a step at a level, Wh; null without a charger, when the pack alone says. */
  most: ((levelWh: number) => number) | null;
  /** Minutes from the top until it says full; in all, where those are known. */
  restMin: number;
  leftMin: number | null;
}

const MIN_PER_H = 60;
const NO_TAPER: Taper = { share: () => 1, restMin: 0 };
const NOTHING_COMES: Flow = { gainWh: 0, most: null, restMin: 0, leftMin: null };

/**
 * Tapers as this source has shown them, or as they are usual; either held against how this charge goes.
 *
 * @returns a draw
 */
export function tapersOf(charger: ChargerInput | null, mean: Worth, ratedWh: number, chance: Chance): () => Taper {
  if (charger === null) return () => NO_TAPER;
  const { fullW, loadW, sessions, minutes, powers, restedMin } = charger;
  if (sessions.length > 0) return seenTapers(chance, sessions, minutes);
  const into = (watts: number) => mean.inWorth * watts - mean.outCost * loadW - mean.ownW;
  const full = into(fullW);
  if (full <= 0) return () => NO_TAPER;
  const shares = powers.map(({ pct, powerW }) => ({ pct, share: Math.min(1, Math.max(0, into(powerW) / full)) }));
  const usualMin = (ratedWh / 100 / full) * MIN_PER_H;
  return unknownTapers(chance, { shares, restedMin, usualMin, besides: -into(0) / full });
}

/** @param toTop whether it charges to 100 %, where it rests */
export function flowOf(
  charger: ChargerInput | null,
  worth: Worth,
  taper: Taper,
  ratedWh: number,
  stepMin: number,
  toTop: boolean,
): Flow {
  if (charger === null || charger.powerW <= 0) return NOTHING_COMES;
  // What goes into the battery falls near full, not what the load takes.
  const loadDrainW = worth.outCost * charger.loadW + worth.ownW;
  const intoW = Math.max(0, worth.inWorth * charger.fullW - loadDrainW);
  const hours = stepMin / MIN_PER_H;
  const rest = { restMin: toTop ? taper.restMin : 0, leftMin: toTop ? (taper.leftMin ?? null) : null };
  if (intoW * hours <= 0) return { ...NOTHING_COMES, ...rest };
  return { gainWh: (intoW + loadDrainW) * hours, most: mostOf(taper, intoW * hours, ratedWh), ...rest };
}

/** A level that stays, as a full one does, is asked for once. */
function mostOf(taper: Taper, intoWh: number, ratedWh: number): (levelWh: number) => number {
  let askedWh = Number.NaN;
  let mostWh = 0;
  return levelWh => {
    if (levelWh !== askedWh) {
      askedWh = levelWh;
      mostWh = intoWh * taper.share((100 * levelWh) / ratedWh);
    }
    return mostWh;
  };
}
