/** All that Plan reckons for one list, kept as long as neither list nor basis changes. Energies Wh, powers W. */
import type { ClearMonth } from '#energy/estimates/plan/clear-months';
import type { PlannedLoad } from '#energy/estimates/plan/planned-load';
import {
  clearMonthsOf,
  type DayUse,
  dayUse,
  type Lasting,
  lastingOf,
  type SunPlan,
  sunPlan,
  verdictOf,
} from '#energy/estimates/plan/planning';
import type { PlanVerdict } from '#energy/estimates/plan/verdicts';
import type { PlanAnswer, PlanSettings } from '#messages';

export interface Reckoned {
  verdict: PlanVerdict;
  /** Of what is not too big. */
  running: readonly PlannedLoad[];
  lasting: Lasting | null;
  use: DayUse;
  sun: SunPlan | null;
}

const years = new WeakMap<PlanAnswer, ClearMonth[] | null>();

function clearOf(basis: PlanAnswer): ClearMonth[] | null {
  const kept = years.get(basis);
  if (kept !== undefined) return kept;
  const made = clearMonthsOf(basis, Number(basis.madeAt.slice(0, 4)));
  years.set(basis, made);
  return made;
}

/** What is kept for an outage, %: never less than the floor. */
export const reserveOf = (basis: PlanAnswer, plan: PlanSettings): number =>
  Math.max(plan.outageReservePct ?? basis.floorPct, basis.floorPct);

export function reckon(basis: PlanAnswer, plan: PlanSettings): Reckoned {
  const verdict = verdictOf(basis, plan.load);
  const running = plan.load.filter((_, i) => verdict.loads[i]!.verdict !== 'tooBig');
  const clear = clearOf(basis);
  const asked = { loads: running, dullDays: plan.dullDays, reservePct: reserveOf(basis, plan), year: 0 };
  return {
    verdict,
    running,
    lasting: lastingOf(basis, running),
    use: dayUse(basis, running),
    sun: clear === null ? null : sunPlan(basis, clear, asked),
  };
}

/** The month in which the sun keeps up least; of equal ones the one with least sun. */
export const worstOf = ({ months }: SunPlan): SunPlan['months'][number] =>
  months.reduce((a, b) => (b.inTen < a.inTen || (b.inTen === a.inTen && b.meanWh < a.meanWh) ? b : a));
