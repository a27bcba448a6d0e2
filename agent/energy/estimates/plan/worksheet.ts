/**
 * The worksheet that stand-alone systems are sized by on paper, as it is commonly simplified after IEEE 1013 (lead-acid
 * batteries) and IEEE 1562 (arrays): daily load, days of autonomy, a share of the battery that may be used, a factor for
 * cold, peak sun hours of the worst month, an array-to-load ratio. Here beside what is reckoned from the station itself.
 * Numbers of the standards from memory; the multipliers stand alike in four public worksheets. Energies Wh, powers W.
 */

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

/** Shares the portable worksheet takes for every station alike (common practice, no source). */
export const PORTABLE_SHEET = {
  inverterShare: 0.88,
  usableShare: 0.9,
  chargeShare: 0.92,
  panelShare: 0.72,
  arrayToLoad: 1.2,
} as const;
