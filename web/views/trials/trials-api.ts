/** What Trials asks of the agent; its schemas come with the view. */
import * as v from 'valibot';
import {
  ComparisonAnswer,
  FirstWeekAnswer,
  TrialAnswer,
  type TrialChange,
  type TrialStart,
  TrialsAnswer,
  type WireTrial,
  YearsAnswer,
} from '#messages';
import { type AgentApi, type Answer, change } from '../../state/api.ts';
import { trueTrial } from './true-trial.ts';

const ALL = '/api/trials';
const one = (id: string) => `${ALL}/${encodeURIComponent(id)}`;
const ofStation = (station: string, what: string) => `/api/stations/${encodeURIComponent(station)}/${what}`;
const listed = (ids: readonly string[]) => ids.map(encodeURIComponent).join(',');

/** What was answered, made into what is told. */
const told = async <T>(asked: Promise<Answer<T>>, tell: (value: T) => T): Promise<Answer<T>> => {
  const answer = await asked;
  return answer.ok ? { ...answer, value: tell(answer.value) } : answer;
};
const many = <T extends { trials: WireTrial[] }>(asked: Promise<Answer<T>>) =>
  told(asked, value => ({ ...value, trials: value.trials.map(trueTrial) }));
const single = (asked: Promise<Answer<TrialAnswer>>) => told(asked, ({ trial }) => ({ trial: trueTrial(trial) }));

export const trialsApi = (api: AgentApi) => ({
  /** Of every station. */
  all: () => many(api.ask(TrialsAnswer, ALL)),
  of: (station: string) => many(api.ask(TrialsAnswer, `${ALL}?station=${encodeURIComponent(station)}`)),
  one: (id: string) => single(api.ask(TrialAnswer, one(id))),
  start: (start: TrialStart) => single(api.ask(TrialAnswer, ALL, change('POST', start))),
  change: (id: string, what: TrialChange) => single(api.ask(TrialAnswer, one(id), change('PUT', what))),
  /** The answer to it has nothing left to tell. */
  remove: (id: string) => api.ask(v.unknown(), one(id), change('PUT', { do: 'remove' })),
  compare: (ids: readonly string[]) => many(api.ask(ComparisonAnswer, `${ALL}/compare?ids=${listed(ids)}`)),
  firstWeek: (station: string) => api.ask(FirstWeekAnswer, ofStation(station, 'first-week')),
  years: (station: string) => api.ask(YearsAnswer, ofStation(station, 'years')),
});

export const samplesAddress = (id: string): string => `${one(id)}/samples.csv`;
export const reportAddress = (ids: readonly string[], large = false): string =>
  ids.length === 1
    ? `${one(ids[0]!)}/report${large ? '?large' : ''}`
    : `${ALL}/report?ids=${listed(ids)}${large ? '&large' : ''}`;

/** Addresses of the pages below Trials. */
export const trialAddress = (id: string): string => `/trials/${encodeURIComponent(id)}`;
export const beginAddress = (kind: string): string => `/trials/begin?${new URLSearchParams({ kind })}`;
export const besideAddress = (ids: readonly string[]): string => `/trials/beside?ids=${listed(ids)}`;
export const YEARS_ADDRESS = '/trials/years';

/** Goes to another page of the view, as a link would. */
export function goTo(address: string): void {
  history.pushState(null, '', address);
  scrollTo(0, 0);
  dispatchEvent(new PopStateEvent('popstate'));
}
