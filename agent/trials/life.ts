/**
 * The life of a trial: asked for, waiting, running, then done, spoiled or interrupted. It is live until a judgement says
 * one of the last three; that judgement is kept as it was told then. All before is made anew from the record, so that
 * nothing is lost with a process. Instants UTC epoch ms.
 */
import type { TrialAsked } from '#energy/estimates/trials/asked';
import { WattkeepError } from '#kit';
import type { KeptTrial, RecordQueries, WireJudgement } from '#messages';

/** What is not over by then is ended as if the owner had: nothing waits for ever. */
export const LONGEST_MS = 14 * 86_400_000;

/** As it is kept beside the owner's options. */
export interface KeptAsked {
  readonly options: TrialAsked['options'];
  readonly gapLimitMs: number;
  /** Source whose readings are the meter's; null: typed, or none. */
  readonly meterSource: string | null;
}

export const isLive = ({ judgementJson, removedAt }: KeptTrial): boolean =>
  judgementJson === null && removedAt === null;

export const isOver = ({ phase }: Pick<WireJudgement, 'phase'>): boolean => phase !== 'waiting' && phase !== 'running';

export const askedOf = (trial: KeptTrial): KeptAsked => JSON.parse(trial.askedJson) as KeptAsked;

/** Until when its samples count; null while it may go on. */
export function untilAt({ startedAt, endedAt }: KeptTrial, nowMs: number): number | null {
  if (endedAt !== null) return endedAt;
  return nowMs > startedAt + LONGEST_MS ? startedAt + LONGEST_MS : null;
}

/** From the start to the end as it was judged, or as far as it has come. */
export function stretchOf(trial: KeptTrial, nowMs: number): { fromMs: number; toMs: number } {
  const told = trial.judgementJson === null ? null : (JSON.parse(trial.judgementJson) as WireJudgement).endedAt;
  const toMs = told === null ? (untilAt(trial, nowMs) ?? nowMs) : Date.parse(told);
  return { fromMs: trial.startedAt, toMs: Math.max(trial.startedAt, toMs) + 1 };
}

/** @throws WattkeepError REQUEST_INVALID where there is none, or it was removed */
export function trialOf(record: Pick<RecordQueries, 'trial'>, id: string): KeptTrial {
  const trial = record.trial(id);
  if (trial !== null && trial.removedAt === null) return trial;
  throw new WattkeepError(
    'REQUEST_INVALID',
    trial === null ? `There is no trial "${id}".` : `Trial ${id} was removed.`,
    'GET /api/trials lists them.',
  );
}
