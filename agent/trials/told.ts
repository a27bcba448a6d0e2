/** Trials as they travel: what was chosen, told and judged. Nothing of the settings but the station's name. */

import type { TrialStep } from '#energy/estimates/trials/asked';
import { KINDS, NOT_MEASURABLE } from '#energy/estimates/trials/kinds';
import type {
  KeptTrial,
  TrialConditions,
  TrialOptions,
  TrialsAnswer,
  WireJudgement,
  WireTrial,
  WireTrialKind,
} from '#messages';
import { missingFor } from './chosen.ts';

const iso = (at: number): string => new Date(at).toISOString();

/** @param judgement of a live trial as of now; of one that is over the kept one is told */
export function wireTrial(trial: KeptTrial, stationName: string, judgement: WireJudgement | null): WireTrial {
  const steps = JSON.parse(trial.stepsJson) as TrialStep[];
  const typed = JSON.parse(trial.typedJson) as { at: number; energyWh: number }[];
  return {
    id: trial.id,
    kind: trial.kind as WireTrial['kind'],
    station: trial.station,
    stationName,
    startedAt: iso(trial.startedAt),
    endedAt: trial.endedAt === null ? null : iso(trial.endedAt),
    options: JSON.parse(trial.optionsJson) as TrialOptions,
    conditions: JSON.parse(trial.conditionsJson) as TrialConditions,
    steps: steps.map(({ at, step }) => ({ at: iso(at), step })),
    typed: typed.map(({ at, energyWh }) => ({ at: iso(at), energyWh })),
    simulated: trial.simulated === 1,
    version: trial.judgedBy ?? trial.version,
    judgement:
      trial.judgementJson === null ? (judgement ?? NOT_JUDGED) : (JSON.parse(trial.judgementJson) as WireJudgement),
  };
}

/** Before the first judgement of a live one. */
const NOT_JUDGED: WireJudgement = {
  phase: 'waiting',
  waitsFor: 'readings',
  endsBecause: null,
  beganAt: null,
  endedAt: null,
  spoiledBy: [],
  progress: { share: null, leftMs: null, count: null, wanted: null },
  result: null,
};

/** The table of kinds, and what a station lacks for each. */
export const wireKinds = (gives: readonly string[] | null, inputSource: string): WireTrialKind[] =>
  KINDS.map(row => ({
    kind: row.kind,
    needs: [...row.needs],
    betterWith: [...row.betterWith],
    missing: gives === null ? [] : missingFor(row.kind, gives, inputSource),
    waits: [...row.waits],
    ends: [...row.ends],
    spoiledBy: [...row.spoiledBy],
    usualHours: [...row.usualHours],
  }));

export const notMeasurable = (): TrialsAnswer['notMeasurable'] => NOT_MEASURABLE.map(row => ({ ...row }));
