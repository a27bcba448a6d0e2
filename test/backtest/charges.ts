/**
 * Simulated charges from the wall, as different as stations are: the share of full power that goes into the battery
 * falls from an onset of 82-97 % to 4-12 % at the top, over a shape of 0.7-1.3, and 0-15 minutes of rest at 99 % follow;
 * what the load takes is carried on top. Stations round what they show down, to the nearest or up, and are full where
 * that makes 100 or a little later; sessions of one station differ a little. Ranges: own judgement around one measured
 * charge (W. K. Collis, CC BY 4.0). Wh, W, minutes.
 */
import { type Chance, createChance } from '#energy/estimates/chance';
import type { ReplayRow } from '#energy/estimates/scoring/replay';

const MINUTE_MS = 60_000;
const ROW_MS = 10_000;
const LOG_MIN = 24 * 60;

export interface Charger {
  ratedWh: number;
  usableShare: number;
  efficiency: number;
  ownW: number;
  powerW: number;
  loadW: number;
  onsetPct: number;
  endShare: number;
  shape: number;
  restMin: number;
  rounding: 'floor' | 'round' | 'ceil';
  /** State of charge at which the rest begins. */
  fullPct: number;
}

const ROUNDINGS = ['floor', 'round', 'ceil'] as const;
/** From where each rounding makes 100 %. */
const SHOWN_FULL_PCT = { floor: 100, round: 99.5, ceil: 99 } as const;

export function drawCharger(chance: Chance): Charger {
  const rounding = ROUNDINGS[Math.floor(3 * chance.uniform())]!;
  const ratedWh = [512, 1024, 2048, 3840][Math.floor(4 * chance.uniform())]!;
  return {
    ratedWh,
    usableShare: 0.97 + 0.03 * chance.normal(),
    efficiency: 0.9 + 0.08 * chance.uniform(),
    ownW: 6 + 14 * chance.uniform(),
    powerW: ratedWh * (0.15 + 0.45 * chance.uniform()),
    loadW: 0.02 * ratedWh * chance.uniform(),
    onsetPct: 82 + 15 * chance.uniform(),
    endShare: 0.04 + 0.08 * chance.uniform(),
    shape: 0.7 + 0.6 * chance.uniform(),
    restMin: 15 * chance.uniform(),
    rounding,
    fullPct: chance.uniform() < 0.5 ? 100 : SHOWN_FULL_PCT[rounding],
  };
}

/** One session's own values: a station does not charge twice alike (own judgement). */
const another = (charger: Charger, chance: Chance): Charger => ({
  ...charger,
  powerW: charger.powerW * (1 + 0.02 * chance.normal()),
  onsetPct: Math.min(98, charger.onsetPct + chance.normal()),
  endShare: charger.endShare * Math.exp(0.1 * chance.normal()),
  restMin: charger.restMin * Math.exp(0.25 * chance.normal()),
});

const taperShare = ({ onsetPct, endShare, shape }: Charger, pct: number): number =>
  pct <= onsetPct ? 1 : 1 - (1 - endShare) * Math.min(1, (pct - onsetPct) / (100 - onsetPct)) ** shape;

export interface Charge {
  rows: ReplayRow[];
  startAt: number;
  /** First row that shows 100 %. */
  fullAt: number;
}

/** @param beginAt a day of load log before the charge begins here */
export function chargeOnce(charger: Charger, seed: number, beginAt: number): Charge {
  const chance = createChance(seed);
  const c = another(charger, chance);
  const rows: ReplayRow[] = [];
  const row = (at: number, inputW: number, stateOfChargePct: number | null) =>
    rows.push({
      at,
      inputW,
      outputW: Math.max(0, c.loadW * (1 + 0.05 * chance.normal())),
      solarW: 0,
      stateOfChargePct,
      charger: 'wall',
      onMains: false,
      held: inputW > 0,
      statedMin: null,
    });
  for (let minute = -LOG_MIN; minute < 0; minute++) row(beginAt + minute * MINUTE_MS, 0, null);
  const capacityWh = c.ratedWh * c.usableShare;
  let pct = 10 + 45 * chance.uniform();
  let restLeftMs = c.restMin * MINUTE_MS;
  for (let at = beginAt; ; at += ROW_MS) {
    const resting = pct >= c.fullPct;
    const intoW = c.powerW * (resting ? 0.01 : taperShare(c, pct));
    const inputW = (intoW + c.ownW) / c.efficiency + c.loadW;
    const shown = resting && restLeftMs <= 0 ? 100 : Math.min(99, Math[c.rounding](pct));
    row(at, inputW, shown);
    if (shown === 100) return { rows, startAt: beginAt, fullAt: at };
    if (resting) restLeftMs -= ROW_MS;
    else pct = Math.min(c.fullPct, pct + ((100 / capacityWh) * intoW * ROW_MS) / 3_600_000);
  }
}
