/**
 * The worksheet that stand-alone systems are sized by on paper, as it is commonly simplified after IEEE 1013 (lead-acid
 * batteries) and IEEE 1562 (arrays): daily load, days of autonomy, a share of the battery that may be used, a factor for
 * cold, peak sun hours of the worst month, an array-to-load ratio. Here beside what is reckoned from the station itself.
 * Numbers of the standards from memory; the multipliers stand alike in four public worksheets. Energies Wh, powers W.
 */

/** Lead-acid: more battery in the cold, °C and factor. Another chemistry has another table. */
const LEAD_ACID: readonly (readonly [tempC: number, factor: number])[] = [
  [26.7, 1],
  [21.2, 1.04],
  [15.6, 1.11],
  [10, 1.19],
  [4.4, 1.3],
  [-1.1, 1.4],
  [-6.7, 1.59],
];

/** How much more of a lead-acid battery the cold asks for; straight between the rows, held at the ends. */
export function leadAcidFactor(tempC: number): number {
  if (tempC >= LEAD_ACID[0]![0]) return LEAD_ACID[0]![1];
  for (let i = 1; i < LEAD_ACID.length; i++) {
    const [warm, less] = LEAD_ACID[i - 1]!;
    const [cold, more] = LEAD_ACID[i]!;
    if (tempC >= cold) return less + ((more - less) * (warm - tempC)) / (warm - cold);
  }
  return LEAD_ACID.at(-1)![1];
}

export interface BatterySheet {
  /** At the outlets. */
  loadWhPerDay: number;
  autonomyDays: number;
  /** Share of the label that may be used, 0-1. */
  usableShare: number;
  /** 1 where the load is DC. */
  inverterShare?: number;
  temperatureFactor?: number;
}

/** Nameplate that carries the load for the days of autonomy. */
export const batteryWh = (sheet: BatterySheet): number =>
  ((sheet.loadWhPerDay / (sheet.inverterShare ?? 1)) * sheet.autonomyDays * (sheet.temperatureFactor ?? 1)) /
  sheet.usableShare;

export const ampHours = (energyWh: number, systemV: number): number => energyWh / systemV;

export interface ArraySheet {
  loadWhPerDay: number;
  inverterShare: number;
  chargeShare: number;
  /** Of the panels, heat and dirt in it: the performance ratio. */
  panelShare: number;
  /** Kilowatt-hours a square metre of the worst month's mean day, on the panels' plane. */
  sunHours: number;
  /** How much more the array gives than the load takes; IEEE 1562: 1.1-1.2, critical 1.3-1.4 (from memory). */
  arrayToLoad?: number;
}

/** Rated watts of the array; infinite without sun. */
export const arrayW = (sheet: ArraySheet): number =>
  (sheet.loadWhPerDay * (sheet.arrayToLoad ?? 1)) /
  (sheet.inverterShare * sheet.chargeShare * sheet.panelShare * sheet.sunHours);

/** Strings in parallel after IEEE 1562 (formula from memory), not rounded up. @param lossShare of the system, 0-1 */
export const parallelStrings = (
  loadAhPerDay: number,
  arrayToLoad: number,
  lossShare: number,
  maxPowerA: number,
  sunHours: number,
): number => (loadAhPerDay * arrayToLoad) / ((1 - lossShare) * maxPowerA * sunHours);

/**
 * Days of autonomy that are usual where the worst month has so many peak sun hours (R. Messenger, J. Ventre, Photovoltaic
 * Systems Engineering; from memory). Above one hour only.
 */
export const usualAutonomyDays = (sunHours: number, critical: boolean): number =>
  critical ? -1.9 * sunHours + 18.3 : -0.48 * sunHours + 4.58;

/** Shares the portable worksheet takes for every station alike (common practice, no source). */
export const PORTABLE_SHEET = {
  inverterShare: 0.88,
  usableShare: 0.9,
  chargeShare: 0.92,
  panelShare: 0.72,
  arrayToLoad: 1.2,
} as const;
