/** What Outlast asks of the agent; its schemas come with the view. */
import * as v from 'valibot';
import { type LoadSettings, OutlastAnswer } from '#messages';
import { type AgentApi, change } from '../../state/api.ts';

export type AddedSource = 'generator' | 'vehicle' | 'wall';
export type Sky = 'open' | 'good' | 'middling' | 'poor';

export interface Asked {
  untilAt: number;
  floorPct: number | null;
  skies: readonly Sky[];
  watts: Readonly<Record<AddedSource, number | null>>;
  with: string | null;
}

const of = (station: string) => `/api/stations/${encodeURIComponent(station)}`;

export function outlastAddress(station: string, asked: Asked): string {
  const query = new URLSearchParams({ until: new Date(asked.untilAt).toISOString() });
  if (asked.floorPct !== null) query.set('floor', String(asked.floorPct));
  if (asked.skies.some(sky => sky !== 'open')) query.set('skies', asked.skies.join(','));
  for (const [source, watts] of Object.entries(asked.watts)) if (watts !== null) query.set(`${source}W`, String(watts));
  if (asked.with !== null) query.set('with', asked.with);
  return `${of(station)}/outlast?${query}`;
}

export const outlastApi = (api: AgentApi) => ({
  ask: (station: string, asked: Asked) => api.ask(OutlastAnswer, outlastAddress(station, asked)),
  name: (station: string, load: readonly LoadSettings[]) =>
    api.ask(v.unknown(), `${of(station)}/loads`, change('POST', { load })),
});
