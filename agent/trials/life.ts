/**
 * The life of a trial: asked for, waiting, running, then done, spoiled or interrupted. It is live until a judgement says
 * one of the last three; that judgement is kept as it was told then. All before is made anew from the record, so that
 * nothing is lost with a process. Instants UTC epoch ms.
 */
import type { MeterSamples, TrialAsked, TrialJudgement, TrialSamples, TrialStep } from '#energy/estimates/trials/asked';
import { judgeTrial } from '#energy/estimates/trials/judge';
import type { KeptTrial, WireJudgement } from '#messages';

/** What is not over by then is ended as if the owner had: nothing waits for ever. */
export const LONGEST_MS = 14 * 86_400_000;
/** What was read a moment ago may not be saved yet. */
const UNSAVED_MS = 70_000;

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

const iso = (at: number): string => new Date(Math.round(at)).toISOString();
const isoOrNull = (at: number | null): string | null => (at === null ? null : iso(at));

export const wireJudgement = (of: TrialJudgement): WireJudgement => ({
  ...of,
  beganAt: isoOrNull(of.beganAt),
  endedAt: isoOrNull(of.endedAt),
  spoiledBy: of.spoiledBy.map(one => ({ ...one, at: iso(one.at), toAt: iso(one.toAt) })),
  progress: { ...of.progress },
  result:
    of.result === null
      ? null
      : {
          figures: of.result.figures.map(figure => ({ ...figure, budget: [...figure.budget] })),
          curves: of.result.curves.map(curve => ({ ...curve, points: [...curve.points] })),
          under: { ...of.result.under },
        },
});

/** Counts that the owner read off, as a meter. */
function typedMeter({ typedJson }: KeptTrial): MeterSamples | null {
  const typed = JSON.parse(typedJson) as { at: number; energyWh: number }[];
  if (typed.length === 0) return null;
  return {
    at: Float64Array.from(typed, one => one.at),
    powerW: new Float64Array(0),
    energyWh: Float64Array.from(typed, one => one.energyWh),
  };
}

/** Until when its samples count; null while it may go on. */
export function untilAt({ startedAt, endedAt }: KeptTrial, nowMs: number): number | null {
  if (endedAt !== null) return endedAt;
  return nowMs > startedAt + LONGEST_MS ? startedAt + LONGEST_MS : null;
}

/**
 * A judgement as of now. @param samples from its start on
 * @param meter of the source that is its meter; null where it has none
 */
export function judged(
  trial: KeptTrial,
  samples: TrialSamples,
  meter: MeterSamples | null,
  nowMs: number,
): TrialJudgement {
  const { options, gapLimitMs, meterSource } = askedOf(trial);
  const lastAt = samples.at.at(-1) ?? trial.startedAt;
  return judgeTrial({
    kind: trial.kind as TrialAsked['kind'],
    options,
    station: trial.station,
    startedAt: trial.startedAt,
    endedAt: untilAt(trial, nowMs),
    nowAt: Math.max(lastAt, trial.startedAt, nowMs - UNSAVED_MS),
    gapLimitMs,
    samples,
    meter: options.meter === null ? null : meterSource === null ? typedMeter(trial) : meter,
    steps: JSON.parse(trial.stepsJson) as TrialStep[],
  });
}
