/**
 * The level of a course of the load as factors of it, from where it lies in spreads. It moves so slowly, and the further
 * ahead the more so, that one factor serves a stretch of steps.
 */

/** Steps that share a factor, as a power of two: factor i is that of the steps from i << FACTOR_BITS on. */
export const FACTOR_BITS = 3;
const NEAR_STRETCH = 1 << FACTOR_BITS;
const NEAR_STEPS = 160;
/** Whole near stretches. */
const FAR_STRETCH = 32;

/** So many steps or a few more, where no factor of the level ends within a stretch. */
export const wholeSteps = (steps: number): number =>
  NEAR_STEPS + FAR_STRETCH * Math.max(0, Math.ceil((steps - NEAR_STEPS) / FAR_STRETCH));

/** Room for the factors of so many steps. */
export const createFactors = (steps: number): Float64Array => new Float64Array(Math.ceil(steps / NEAR_STRETCH));

/**
 * @param into filled for the first `steps`
 * @param spread of the level's logarithm, one a step
 * @param score where the course lies, in spreads
 */
export function levelFactors(into: Float64Array, spread: Float64Array, score: number, steps: number): void {
  for (let i = 0, end = 0; i < steps; i = end) {
    end = Math.min(steps, i + (i < NEAR_STEPS ? NEAR_STRETCH : FAR_STRETCH));
    const factor = Math.exp(score * spread[(i + end) >> 1]!);
    for (let k = i >> FACTOR_BITS; k << FACTOR_BITS < end; k++) into[k] = factor;
  }
}
