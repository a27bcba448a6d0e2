/**
 * What is expected to come in, step by step: the sun of the last hour carried along the sun's height, fading within
 * hours into what the same clock time of the last days brought; a charger goes on as it is.
 *
 * The fading time of 2.5 h is how long the clearness of a sky is worth more than the record (own fit to measured
 * irradiance). Without a record of days nothing is expected beyond the fading sky, and without a place the last hour's
 * watts fade alone: both err to the low side.
 */

export const SLOTS_PER_DAY = 96;
const FADE_MS = 2.5 * 3_600_000;
/** Heights below this give no useful watts. */
const LEAST_SINE = 0.02;

export interface InputAhead {
  atMs: number;
  stepMs: number;
  steps: number;
  /** Mean power from the sun over the last hour, W. */
  solarW: number;
  /** Steady input that is not the sun, W. */
  otherW: number;
  /** Sun's elevation at an instant, degrees; null where the place is unknown. */
  elevationDeg: ((atMs: number) => number) | null;
  /** Mean power from the sun by quarter-hour of the local day over the last days, W; null where no day was recorded. */
  slotMeansW: readonly number[] | null;
  /** Quarter-hour of the local day of an instant, 0-95. */
  slotAt: (atMs: number) => number;
}

/** @returns `steps` values, W: the mean over each step */
export function inputAhead(input: InputAhead): number[] {
  const { atMs, stepMs, steps, solarW, otherW, elevationDeg, slotMeansW, slotAt } = input;
  const height = (t: number) => Math.max(0, Math.sin((elevationDeg!(t) * Math.PI) / 180));
  const lastHour = elevationDeg === null ? 0 : (height(atMs - 3_600_000) + height(atMs - 1_800_000) + height(atMs)) / 3;
  return Array.from({ length: steps }, (_, i) => {
    const t = atMs + (i + 0.5) * stepMs;
    const carried =
      elevationDeg === null ? solarW : lastHour < LEAST_SINE ? 0 : solarW * Math.min(3, height(t) / lastHour);
    const weight = Math.exp((atMs - t) / FADE_MS);
    const usual = slotMeansW === null ? 0 : (slotMeansW[slotAt(t)] ?? 0);
    return otherW + weight * carried + (1 - weight) * usual;
  });
}
