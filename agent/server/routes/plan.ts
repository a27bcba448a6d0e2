/** Plan: what it rests on, and the owner's list of what is to run. */
import { DoneAnswer, PlanAnswer, PlanSettings } from '#messages';
import type { ServerActions, ServerDeps } from '../deps.ts';
import { json, type Route } from '../router.ts';
import type { StationList } from './stations.ts';

const path = '/api/stations/{station}/plan';

export function planRoutes(
  stations: StationList,
  { plan, actions }: Pick<ServerDeps, 'plan'> & { actions: Pick<ServerActions, 'plan'> },
): Route[] {
  return [
    {
      method: 'GET',
      path,
      summary: 'What Plan reckons from: loads, limits, losses, panels, clear and dull days, weeks hour by hour, prices',
      query: {},
      takes: null,
      gives: PlanAnswer,
      async answer({ station }) {
        stations.require(station);
        return json(await plan(station));
      },
    },
    {
      method: 'POST',
      path,
      summary: 'What is to run, and how many dull days it is to last; replaces all of it',
      query: {},
      takes: PlanSettings,
      gives: DoneAnswer,
      async answer({ station, body }) {
        stations.require(station);
        await actions.plan(station, body as PlanSettings);
        return json({ done: true });
      },
    },
  ];
}
