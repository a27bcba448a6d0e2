/** Trials on the record of an agent that does not run: looked at, never changed; live ones are judged as of now. */
import type { ComparisonAnswer, WireTrial } from '#messages';
import { isLive, trialOf } from '../../trials/life.ts';
import { wireTrial } from '../../trials/told.ts';
import { judgeLive, type ReportShow, type TrialsQuestion, type TrialsRecord, trialsPieces } from './pieces.ts';

export interface PastTrials {
  /** Newest first. */
  list(station: string | null): WireTrial[];
  one(id: string): WireTrial;
  compare(ids: readonly string[]): ComparisonAnswer;
  report(ids: readonly string[], show: ReportShow): string;
}

/** Each throws WattkeepError. Of the settings nothing is known: stations go by their id. */
export function pastTrials(
  record: TrialsRecord & { stations(): string[] },
  simulated: boolean,
  version: string,
  nowMs: number,
): PastTrials {
  const known = { version, simulated, stations: [], tariff: null };
  const whole = (question: TrialsQuestion): string => {
    const pieces = [...trialsPieces(record, { question, known }, nowMs)].filter(piece => piece !== null);
    return Buffer.concat(pieces).toString();
  };
  const told = (trial: ReturnType<typeof trialOf>): WireTrial => {
    const judgement = isLive(trial) ? judgeLive(record, nowMs).find(({ id }) => id === trial.id)?.judgement : null;
    return wireTrial(trial, trial.station, judgement ?? null);
  };
  return {
    list: station =>
      (station === null ? record.stations() : [station])
        .flatMap(id => record.trials(id))
        .filter(({ removedAt }) => removedAt === null)
        .sort((a, b) => b.startedAt - a.startedAt)
        .map(told),
    one: id => told(trialOf(record, id)),
    compare: ids => JSON.parse(whole({ do: 'compare', ids })) as ComparisonAnswer,
    report: (ids, show) => whole({ do: 'report', ids, show }),
  };
}
