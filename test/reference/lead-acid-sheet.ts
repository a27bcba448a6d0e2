/**
 * Steps of the paper worksheets that a portable station has no use for, so that what the product does share with them can
 * be held against whole published examples. Simplified after IEEE 1013 and IEEE 1562; numbers from memory.
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

export const ampHours = (energyWh: number, systemV: number): number => energyWh / systemV;

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
