/** The door to Trials: one judgement of a trial of any kind, from the samples since it was started. */
import type { TrialAsked, TrialJudgement, TrialKind } from './asked.ts';
import { judgeCharge } from './charge.ts';
import { judgeConverter } from './converter.ts';
import { judgeOwnDraw } from './own-draw.ts';
import { judgeSolar } from './solar.ts';
import { judgeTwoSets } from './two-sets.ts';
import { judgeUsable } from './usable.ts';

const JUDGES: { readonly [K in TrialKind]: (asked: TrialAsked<K>) => TrialJudgement } = {
  usable: judgeUsable,
  ownDraw: judgeOwnDraw,
  converter: judgeConverter,
  charge: judgeCharge,
  solar: judgeSolar,
  twoSets: judgeTwoSets,
};

/** Judges a trial as of `asked.nowAt`. Pure; some milliseconds for ten hours at one sample a second. */
export function judgeTrial<K extends TrialKind>(asked: TrialAsked<K>): TrialJudgement {
  return JUDGES[asked.kind](asked);
}
