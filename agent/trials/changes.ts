/**
 * What the owner's word makes of a trial, as what is to be kept of it in one commit: the trial itself, and the stretch
 * whose raw readings are kept as long as the trial is.
 */
import type { TrialStep } from '#energy/estimates/trials/asked';
import { LAST_COUNT_MS } from '#energy/estimates/trials/kinds';
import { WattkeepError } from '#kit';
import type { Evidence, KeptTrial, TrialChange, TrialStart, WireJudgement } from '#messages';
import { chosenFor, type TrialBasis } from './chosen.ts';
import { trialId } from './identity.ts';
import { isLive, LONGEST_MS } from './life.ts';

/** Steps and counts of one trial: more are a mistake. */
const MOST_TOLD = 500;

export interface SaidOfTrial {
  readonly trials: readonly KeptTrial[];
  readonly evidence: readonly Evidence[];
}

export interface Beginning {
  readonly basis: TrialBasis;
  readonly nowMs: number;
  /** Civil date of now at the station. */
  readonly date: string;
  readonly simulated: boolean;
  readonly version: string;
  /** Whether an id was ever given. */
  isTaken(id: string): boolean;
  /** Sources whose readings are recorded. */
  readonly sources: readonly string[];
}

const refuse = (message: string, fix: string) => new WattkeepError('REQUEST_INVALID', message, fix);
const evidenceOf = (trial: KeptTrial, toMs: number, station = trial.station): Evidence => ({
  station,
  why: `trial ${trial.id}`,
  fromMs: trial.startedAt,
  toMs,
  droppedAt: null,
});

const meterOf = (trial: KeptTrial): string | null =>
  (JSON.parse(trial.askedJson) as { meterSource?: string | null }).meterSource ?? null;

/** Of its station and of its meter, where that is another source. */
function evidenceFor(trial: KeptTrial, toMs: number): Evidence[] {
  const meter = meterOf(trial);
  return [
    evidenceOf(trial, toMs),
    ...(meter === null || meter === trial.station ? [] : [evidenceOf(trial, toMs, meter)]),
  ];
}

/** @throws WattkeepError REQUEST_INVALID where it cannot be begun */
export function begun({ station, options, conditions }: TrialStart, of: Beginning): SaidOfTrial & { id: string } {
  const same = of.basis.earlier.find(trial => isLive(trial) && trial.kind === options.kind);
  if (same !== undefined) throw refuse(`Trial ${same.id} of this kind is not over.`, 'End it first, or wait.');
  const source = options.meter?.source ?? null;
  if (source !== null && !of.sources.includes(source))
    throw refuse(`There is no source "${source}".`, 'Name one of the settings, or type the meter’s count.');
  const chosen = chosenFor(options, of.basis);
  const optionsJson = JSON.stringify(options);
  const startedAt = of.nowMs;
  const id = trialId({ station, kind: options.kind, startedAt, date: of.date, chosen: optionsJson }, of.isTaken);
  const trial: KeptTrial = {
    station,
    id,
    kind: options.kind,
    startedAt,
    endedAt: null,
    optionsJson,
    askedJson: JSON.stringify(chosen),
    conditionsJson: JSON.stringify(conditions),
    stepsJson: '[]',
    typedJson: '[]',
    simulated: of.simulated ? 1 : 0,
    version: of.version,
    judgementJson: null,
    judgedBy: null,
    removedAt: null,
  };
  return { id, trials: [trial], evidence: evidenceFor(trial, startedAt + LONGEST_MS) };
}

/** @throws WattkeepError REQUEST_INVALID where a trial that is over cannot take it any more */
export function changed(trial: KeptTrial, change: TrialChange, nowMs: number): SaidOfTrial {
  const only = (more: Partial<KeptTrial>): SaidOfTrial => ({ trials: [{ ...trial, ...more }], evidence: [] });
  if (change.do === 'conditions') return only({ conditionsJson: JSON.stringify(change.conditions) });
  if (change.do === 'remove') return removed(trial, nowMs);
  if (change.do === 'meter' && takesLastCount(trial, nowMs)) return lastCount(trial, change.energyWh, nowMs);
  if (!isLive(trial) || trial.endedAt !== null) throw refuse(`Trial ${trial.id} is over.`, 'Start a new one.');
  if (change.do === 'end') return only({ endedAt: nowMs });
  if (change.do === 'step') {
    const steps = JSON.parse(trial.stepsJson) as TrialStep[];
    refuseMany(steps.length);
    return only({ stepsJson: JSON.stringify([...steps, { at: nowMs, step: change.step }]) });
  }
  if (!isMeterTyped(trial)) throw refuse('This trial has no meter whose count is typed.', 'Give one at the start.');
  return only({ typedJson: counted(trial, change.energyWh, nowMs) });
}

type Count = { at: number; energyWh: number };
const countsOf = (trial: KeptTrial) => JSON.parse(trial.typedJson) as Count[];
const isMeterTyped = (trial: KeptTrial): boolean => meterOf(trial) === null && trial.optionsJson.includes('"meter"');

/** Its counts with one more. @throws WattkeepError REQUEST_INVALID where it is less than the one before */
function counted(trial: KeptTrial, energyWh: number, at: number): string {
  const typed = countsOf(trial);
  refuseMany(typed.length);
  const last = typed.at(-1);
  if (last !== undefined && energyWh < last.energyWh)
    throw refuse(`The meter stood at ${last.energyWh} Wh already.`, 'Give its count, which only goes up.');
  return JSON.stringify([...typed, { at, energyWh }]);
}

/**
 * A discharge ends at night and the meter is read in the morning: the first count after the end still belongs to a trial
 * that ended well, since nothing ran through the meter meanwhile.
 */
function takesLastCount(trial: KeptTrial, nowMs: number): boolean {
  if (trial.judgementJson === null || !isMeterTyped(trial)) return false;
  const { phase, endedAt } = JSON.parse(trial.judgementJson) as WireJudgement;
  if (phase !== 'done' || endedAt === null) return false;
  const endMs = Date.parse(endedAt);
  return nowMs <= endMs + LAST_COUNT_MS && countsOf(trial).every(({ at }) => at <= endMs);
}

/** Long enough for an end to show, too short for the next charge to become part of it. */
const ENDS_WITHIN_MS = 30 * 60_000;

/** With it the trial is judged once more, from the same samples: what was recorded since is left out. */
function lastCount(trial: KeptTrial, energyWh: number, nowMs: number): SaidOfTrial {
  const endMs = Date.parse((JSON.parse(trial.judgementJson!) as WireJudgement).endedAt!);
  const endedAt = trial.endedAt ?? Math.min(nowMs, endMs + ENDS_WITHIN_MS);
  const typedJson = counted(trial, energyWh, nowMs);
  return { trials: [{ ...trial, endedAt, typedJson, judgementJson: null, judgedBy: null }], evidence: [] };
}

function refuseMany(count: number): void {
  if (count >= MOST_TOLD) throw refuse(`This trial has ${MOST_TOLD} of these already.`, 'End it.');
}

/** Its words and results go, and its raw readings with their time; its id stays taken. */
function removed(trial: KeptTrial, nowMs: number): SaidOfTrial {
  const gone: KeptTrial = {
    ...trial,
    optionsJson: JSON.stringify({ kind: trial.kind }),
    askedJson: '{}',
    conditionsJson: '{}',
    stepsJson: '[]',
    typedJson: '[]',
    judgementJson: null,
    judgedBy: null,
    removedAt: nowMs,
  };
  return {
    trials: [gone],
    evidence: evidenceFor(trial, evidenceEnd(trial)).map(one => ({ ...one, droppedAt: nowMs })),
  };
}

const AFTER_MS = 10 * 60_000;

function evidenceEnd(trial: KeptTrial): number {
  const told = trial.judgementJson === null ? null : (JSON.parse(trial.judgementJson) as WireJudgement).endedAt;
  return told === null ? (trial.endedAt ?? trial.startedAt + LONGEST_MS) : Date.parse(told) + AFTER_MS;
}

/** It came to its end: the judgement is kept as it was told, with the version that judged it. */
export function ended(trial: KeptTrial, judgement: WireJudgement, version: string): SaidOfTrial {
  const over: KeptTrial = { ...trial, judgementJson: JSON.stringify(judgement), judgedBy: version };
  return { trials: [over], evidence: evidenceFor(over, evidenceEnd(over)) };
}
