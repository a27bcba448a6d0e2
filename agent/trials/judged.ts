/** A judgement of a kept trial from the samples since its start, and the same as it travels. Instants UTC epoch ms. */
import type { MeterSamples, TrialAsked, TrialJudgement, TrialSamples, TrialStep } from '#energy/estimates/trials/asked';
import { judgeTrial } from '#energy/estimates/trials/judge';
import type { KeptTrial, WireJudgement } from '#messages';
import { askedOf, untilAt } from './life.ts';

/** What was read a moment ago may not be saved yet. */
const UNSAVED_MS = 70_000;

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
