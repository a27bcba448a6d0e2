/** What every judge of a trial answers with, put together in one place. */
import type { Ends, Spoiled, TrialAsked, TrialJudgement, TrialKind, TrialPhase, TrialResult, Waits } from './asked.ts';
import { indexAt } from './samples.ts';

const NOTHING_YET = { share: null, leftMs: null, count: null, wanted: null } as const;

export type Progress = TrialJudgement['progress'];

/** Nothing has begun; where the owner ended it by then it was for nothing. */
export function waiting(asked: TrialAsked, waitsFor: Waits): TrialJudgement {
  const ended = asked.endedAt !== null;
  return {
    phase: ended ? 'interrupted' : 'waiting',
    waitsFor,
    endsBecause: ended ? 'owner' : null,
    beganAt: null,
    endedAt: asked.endedAt,
    spoiledBy: [],
    progress: NOTHING_YET,
    result: null,
  };
}

export interface Stood {
  readonly beganAt: number;
  /** null while it runs on. */
  readonly endedAt: number | null;
  readonly endsBecause: Ends | null;
  readonly waitsFor?: Waits | null;
  readonly spoiledBy: readonly Spoiled[];
  readonly progress: Partial<Progress>;
  /** Made only where it is needed. */
  readonly result: () => TrialResult | null;
  /** The owner's word may end it with a result. */
  readonly endsByOwner?: boolean;
}

/**
 * Spoiled outranks all else; a gap that cannot be bridged is an interruption, what was measured before it stays.
 */
export function stood(asked: TrialAsked<TrialKind>, of: Stood): TrialJudgement {
  const spoils = of.spoiledBy.find(s => s.consequence === 'spoils' && s.what !== 'gap');
  const gap = of.spoiledBy.find(s => s.consequence === 'spoils' && s.what === 'gap');
  const byOwner = of.endedAt === null && asked.endedAt !== null;
  const ended = of.endedAt !== null || byOwner;
  const broken = gap !== undefined || (byOwner && of.endsByOwner !== true);
  const result = spoils === undefined ? of.result() : null;
  // What ended before there was anything to say ended for nothing.
  const phase: TrialPhase =
    spoils !== undefined
      ? 'spoiled'
      : broken || (ended && result === null)
        ? 'interrupted'
        : ended
          ? 'done'
          : 'running';
  const endsBecause: Ends | null =
    phase === 'spoiled' ? 'spoiled' : gap !== undefined ? 'gap' : byOwner ? 'owner' : of.endsBecause;
  return {
    phase,
    waitsFor: phase === 'running' ? (of.waitsFor ?? null) : null,
    endsBecause: phase === 'running' ? null : endsBecause,
    beganAt: of.beganAt,
    endedAt: phase === 'running' ? null : phase === 'spoiled' ? spoils!.toAt : (gap?.at ?? of.endedAt ?? asked.endedAt),
    spoiledBy: of.spoiledBy,
    progress: { ...NOTHING_YET, ...of.progress, ...(phase === 'done' ? { share: 1, leftMs: 0 } : {}) },
    result,
  };
}

/** The last sample before readings were missing for too long; `to` where they never were. What came after is not known. */
export function beforeGap(at: Float64Array, to: number, of: readonly Spoiled[]): number {
  const gap = of.find(s => s.what === 'gap' && s.consequence === 'spoils');
  return gap === undefined ? to : Math.min(to, indexAt(at, gap.at));
}
