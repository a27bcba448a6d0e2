/** The door to Trials: one judgement of a trial of any kind, from the samples since it was started. */
import type { TrialAsked, TrialJudgement } from './asked.ts';
import { judgeUsable } from './usable.ts';

/** Judges a trial as of `asked.nowAt`. Pure; a few milliseconds for ten hours at one sample a second. */
export function judgeTrial(asked: TrialAsked): TrialJudgement {
  return judgeUsable(asked as TrialAsked<'usable'>);
}
