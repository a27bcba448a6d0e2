/**
 * One running total of a station, believed value by value. A value that cannot follow the last good one is doubted, and
 * believed only when the next one follows it: one broken frame costs nothing, and a counter that began again begins
 * again. Values are whole mWh, energies whole mJ, spans ms as lived (monotonic within a session).
 */
import { type CounterRules, counterStep, mostWh } from '#kit';

/** What a counter stood at, and what happened since it was last told. */
export interface Held {
  valueMilliWh: number;
  /** When it was last told, UTC epoch ms. */
  at: number;
  sinceMs: number;
  /** Since it last changed: many stations count on only every few minutes. */
  unchangedMs: number;
  /** Of `sinceMs`, time in which its power was not followed. */
  gapMs: number;
  /** What its power came to meanwhile; meaningless unless `compared`. */
  integratedMilliJ: number;
  /** Time in which anything flowed. */
  flowMs: number;
  /** How far the watts between readings may go from the line through them, squared, Wh². */
  spreadWh2: number;
  /** Its power was known all the time. */
  compared: boolean;
  /** The greatest common divisor of all good values: no finer than it counts, and soon equal to it. */
  stepMilliWh: number;
}

export type BreakCause =
  /** It began again. */
  | 'reset'
  /** More than could have passed. */
  | 'unlikely'
  /** A gap in which it may have run over more than once. */
  | 'overrun';
export type StepCause = 'counted' | 'wrapped' | BreakCause;

export interface Judged {
  cause: StepCause;
  /** null where what passed is not known. */
  milliJ: number | null;
}

export interface CounterLimits {
  /** The most that can pass, W. */
  mostW: number;
  /** Steps it holds before it begins at 0 again; null: not known. */
  steps: number | null;
}

/**
 * A counter that is told all the time shows what it counted at least this often (common practice, no source). Longer,
 * and a broken value in the morning could pass for a night's energy.
 */
const SHOWN_EVERY_MS = 15 * 60_000;
/** Beyond this nothing is learned of its steps from how its values end. */
const LARGEST_STEP_MILLI_WH = 1_000_000;
const MILLIJ_PER_MILLI_WH = 3_600;

/** Values are told in steps of 0.1 Wh or finer; to the thousandth they are whole. */
export const asMilliWh = (valueWh: number): number => Math.round(valueWh * 1000);

function commonStep(a: number, b: number): number {
  for (; b !== 0; [a, b] = [b, a % b]);
  return a;
}

/** @param stepMilliWh known so far; 0 before the first value */
export const stepWith = (stepMilliWh: number, valueMilliWh: number): number => commonStep(stepMilliWh, valueMilliWh);

/** The step as far as it is known, mWh: at most 1 kWh, since a single value tells little. */
export const stepOf = ({ stepMilliWh }: Pick<Held, 'stepMilliWh'>): number =>
  stepMilliWh === 0 ? LARGEST_STEP_MILLI_WH : Math.min(stepMilliWh, LARGEST_STEP_MILLI_WH);

/** A counter just told for the first time, or for the first time after it began again. */
export const held = (valueMilliWh: number, at: number, stepMilliWh: number): Held => ({
  valueMilliWh,
  at,
  sinceMs: 0,
  unchangedMs: 0,
  gapMs: 0,
  integratedMilliJ: 0,
  flowMs: 0,
  spreadWh2: 0,
  compared: true,
  stepMilliWh,
});

/** What a value says after the one that is held. */
export function judge(before: Held, valueMilliWh: number, { mostW, steps }: CounterLimits): Judged {
  const stepWh = stepOf({ stepMilliWh: stepWith(before.stepMilliWh, valueMilliWh) }) / 1000;
  const rules: CounterRules = { wrapWh: steps === null ? null : steps * stepWh, ratedPowerW: mostW, stepWh };
  if (rules.wrapWh !== null && mostWh(rules, before.sinceMs) >= rules.wrapWh) return { cause: 'overrun', milliJ: null };
  const from = { valueWh: before.valueMilliWh / 1000, atMs: 0 };
  const after = (atMs: number) => counterStep(from, { valueWh: valueMilliWh / 1000, atMs }, rules);
  let step = after(before.sinceMs);
  if (step.energyWh === null) {
    const waitedMs = Math.min(before.unchangedMs, SHOWN_EVERY_MS);
    if (waitedMs > before.sinceMs) {
      const later = after(waitedMs);
      if (later.energyWh !== null) step = later;
    }
  }
  if (step.energyWh === null) return { cause: step.kind === 'reset' ? 'reset' : 'unlikely', milliJ: null };
  return { cause: step.kind, milliJ: asMilliWh(step.energyWh) * MILLIJ_PER_MILLI_WH };
}
