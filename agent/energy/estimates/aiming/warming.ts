/**
 * How far the cells still are from as warm as they get where they stand: a panel just turned to the sun is cold and
 * flatters. Excess warmth goes towards a multiple of the light with a lag, after each of a few ways that span what
 * panels do; comparisons take the spread over the ways as the error of the correction.
 *
 * Warming 0.035 K a W/m²: A. Jones and C. Underwood, Solar Energy 70 (2001) 349. Lag of about five minutes, 2.5 to 8 with
 * mass and wind: S. Armstrong and W. Hurley, Applied Thermal Engineering 30 (2010) 1488, from memory. Shares of power.
 */

const KELVIN_PER_WM2 = 0.035;
const MEAN_POWER_PER_K = -0.0038;

interface Way {
  /** Of the mean warming. */
  readonly times: number;
  readonly lagS: number;
  /** Warm, or as cold as the air, when first seen. */
  readonly startsWarm: boolean;
  readonly weight: number;
}

const SHAPES = [
  { times: 1, lagS: 290, weight: 0.4 },
  { times: 0.5, lagS: 290, weight: 0.15 },
  { times: 1.4, lagS: 290, weight: 0.15 },
  { times: 1, lagS: 150, weight: 0.15 },
  { times: 1, lagS: 480, weight: 0.15 },
] as const;
/** Nine walks of ten begin with panels that have stood for a while: own judgement. */
const STARTS = [
  { startsWarm: true, weight: 0.8 },
  { startsWarm: false, weight: 0.2 },
] as const;

const WAYS: readonly Way[] = STARTS.flatMap(start =>
  SHAPES.map(shape => ({ ...shape, startsWarm: start.startsWarm, weight: start.weight * shape.weight })),
);

/** Light at which panels give their label, W/m². */
const LABEL_WM2 = 1000;
/** Share of the label that panels give at it, warm and through all losses; common practice, no source. */
const OF_LABEL = 0.85;
/** Where no label was told: the most ever seen is taken as this share of it. */
const MOST_SEEN_IS = 0.75;

/** Power may still be rising for so long after the first reading. */
const STARTING_MS = 20_000;

/**
 * Follows the cells' warmth by the power they give: for each way, the power that would keep them as warm as they are.
 *
 * @param powerPerK relative, negative; null where not told
 */
export function createWarming(ratedW: number | null, powerPerK: number | null) {
  const lossAtFull = -(powerPerK ?? MEAN_POWER_PER_K) * KELVIN_PER_WM2 * LABEL_WM2;
  const warmAtW: number[] = WAYS.map(() => 0);
  let firstMs = Number.NaN;
  let lastMs = Number.NaN;
  let mostW = 1;

  const fullW = (): number => (ratedW === null ? mostW / MOST_SEEN_IS : ratedW * OF_LABEL);

  return {
    add(atMs: number, powerW: number): void {
      mostW = Math.max(mostW, powerW);
      if (Number.isNaN(firstMs)) [firstMs, lastMs] = [atMs, atMs];
      const dtS = (atMs - lastMs) / 1000;
      lastMs = atMs;
      // A tracker that only starts tells nothing yet of the light that warmed the cells before.
      const starting = atMs - firstMs <= STARTING_MS;
      for (let k = 0; k < WAYS.length; k++) {
        const { lagS, startsWarm } = WAYS[k]!;
        warmAtW[k]! += (powerW - warmAtW[k]!) * -Math.expm1(-dtS / lagS);
        if (starting && startsWarm) warmAtW[k] = Math.max(warmAtW[k]!, powerW);
      }
    },
    /** What `powerW`, given now, has still to lose, as a share, one for each way. */
    coolShares: (powerW: number): readonly number[] =>
      WAYS.map(({ times }, k) => Math.min(1.2, (powerW - warmAtW[k]!) / fullW()) * lossAtFull * times),
  };
}

/** Mean over the ways, and standard deviation. */
export function overWays(of: (way: number) => number): { mean: number; deviation: number } {
  const mean = WAYS.reduce((sum, { weight }, k) => sum + weight * of(k), 0);
  const variance = WAYS.reduce((sum, { weight }, k) => sum + weight * (of(k) - mean) ** 2, 0);
  return { mean, deviation: Math.sqrt(variance) };
}

/** The same in a stretch's own measure: expected share still to lose. */
export const meanCool = (shares: readonly number[]): number => overWays(k => shares[k] ?? 0).mean;
