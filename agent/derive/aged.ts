/**
 * What was learned of a station grows unsure while nobody looks: packs fade, firmware is changed, gauges are counted
 * anew. Half a year unseen takes half of the sureness away, down to that of the label alone (own judgement). The figures
 * themselves stay.
 */
import { freshGauge } from '#energy/estimates/gauge-belief';
import type { RuntimeMemory } from '#energy/estimates/runtime/engine';

const DAY_MS = 86_400_000;
const HALVED_DAYS = 180;

/** @param ageMs since the station was last read */
export function agedMemory(memory: RuntimeMemory, ageMs: number): RuntimeMemory {
  const kept = 2 ** (-Math.max(0, ageMs) / DAY_MS / HALVED_DAYS);
  const label = freshGauge(memory.ratedWh !== null).covariance;
  // A mean of two covariances is one, and never wider than the label's.
  const covariance = memory.gauge.covariance.map((c, i) => kept * c + (1 - kept) * (label[i] ?? c));
  return { ...memory, gauge: { ...memory.gauge, covariance } };
}
