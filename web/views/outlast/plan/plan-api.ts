/** What Plan asks of the agent; its schemas come with the view. */
import * as v from 'valibot';
import { PlanAnswer, type PlanSettings } from '#messages';
import { type AgentApi, change } from '../../../state/api.ts';

const at = (station: string) => `/api/stations/${encodeURIComponent(station)}/plan`;

export const planApi = (api: AgentApi) => ({
  ask: (station: string) => api.ask(PlanAnswer, at(station)),
  keep: (station: string, plan: PlanSettings) => api.ask(v.unknown(), at(station), change('POST', plan)),
});
