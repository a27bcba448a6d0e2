/**
 * What a station is taken to do before anything was learned about it: how many percent an outgoing watt-hour costs, what
 * it draws for itself, what an incoming watt-hour brings.
 *
 * Fitted to the converter list of the California Energy Commission (3,264 inverters; for 1-2.5 kW: P_dc = p0 + 1.08 · P_ac,
 * p0 near 12 W) and to an LFP pack of which 97 % of the label is usable. The idle draw of 10-20 W is common practice,
 * no source. Gives 43 % of the label as AC energy at 10 W of load, 81 % at 100 W, 88 % at 600 W.
 */

export interface BatteryPrior {
  /** Battery watts for each AC watt going out. */
  conversion: number;
  /** The station's own draw, W. */
  idleW: number;
  /** Share of incoming energy that is stored. */
  chargeEfficiency: number;
  /** Share of the label that can be used. */
  usableShare: number;
}

export const BATTERY_PRIOR: BatteryPrior = { conversion: 1.08, idleW: 12, chargeEfficiency: 0.93, usableShare: 0.97 };

/** Relative standard deviation of energy per percent of a station never seen discharged (own judgement from the above). */
export const ENERGY_SPREAD = 0.05;

/**
 * How fast the state of charge changes, percent per hour; negative while it empties.
 *
 * @param ratedWh the label
 */
export function changePctPerHour(ratedWh: number, inputW: number, outputW: number, prior: BatteryPrior): number {
  const batteryW = inputW * prior.chargeEfficiency - outputW * prior.conversion - prior.idleW;
  return (100 * batteryW) / (ratedWh * prior.usableShare);
}

/** Where the charging current of a full LFP pack begins to fall, percent. */
const TAPER_FROM_PCT = 90;
/** Most it takes there and at 100 %, in capacities an hour: a measured charge (W. K. Collis, CC BY 4.0), last tenth in 19 min. */
const TAPER_START_PER_H = 0.69;
const TAPER_END_PER_H = 0.1;

/**
 * Fastest rise of the state of charge that a nearly full battery allows, percent per hour. What goes out meanwhile is
 * served first, so a small solar surplus is hardly slowed.
 */
export function fastestPctPerHour(stateOfChargePct: number): number {
  const into = Math.min(1, Math.max(0, (stateOfChargePct - TAPER_FROM_PCT) / (100 - TAPER_FROM_PCT)));
  return 100 * (TAPER_START_PER_H - into * (TAPER_START_PER_H - TAPER_END_PER_H));
}

/**
 * AC energy that can still be delivered between two states of charge at a steady load, Wh; the idle draw of that time
 * is taken off.
 */
export function deliverableWh(ratedWh: number, fromPct: number, toPct: number, outputW: number, prior: BatteryPrior) {
  const storedWh = (ratedWh * prior.usableShare * Math.max(0, fromPct - toPct)) / 100;
  const drawW = outputW * prior.conversion + prior.idleW;
  return outputW <= 0 ? 0 : (storedWh * outputW) / drawW;
}
