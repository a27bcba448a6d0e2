/** The day's best round of the known spots, as the page reads it. */
import { movingPlan } from '#energy/estimates/skyline/moving-plan';
import type { AimAnswer } from '#messages';
import { toInstant } from '../../../server/encode.ts';
import type { Evidence } from './evidence.ts';
import type { KeptAim } from './kept.ts';

/** null where no move is worth the walk, or too little is known of the spots. */
export function planTold(kept: KeptAim, evidence: Evidence, dayEndsMs: number, nowMs: number): AimAnswer['plan'] {
  const spots = kept.spots();
  const known = spots.flatMap(({ id }) => {
    const learned = evidence.of(id);
    return learned === null ? [] : [{ id, learned }];
  });
  const plan = known.length < 2 ? null : movingPlan(known, kept.stay(nowMs)?.spot ?? null, nowMs, dayEndsMs);
  if (plan === null) return null;
  const nameOf = (id: string) => spots.find(spot => spot.id === id)?.name ?? id;
  return {
    steps: plan.steps.map(({ spot, fromMs }) => ({
      spot,
      name: nameOf(spot),
      fromAt: toInstant(Math.round(fromMs)),
    })),
    gainWh: plan.gainWh,
    against: nameOf(plan.against),
  };
}
