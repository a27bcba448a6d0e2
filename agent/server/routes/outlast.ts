/** Will it last until then: the question with its target, and the owner's names for what is plugged in. */
import * as v from 'valibot';
import { DoneAnswer, JudgingAnswer, LoadsChoice, OutlastAnswer } from '#messages';
import type { OutlastAsked, ServerActions, ServerDeps } from '../deps.ts';
import { RequestFailure } from '../failure.ts';
import { instantFrom, numberFrom } from '../query.ts';
import { json, type Route } from '../router.ts';
import type { StationList } from './stations.ts';

const HOUR_MS = 3_600_000;
/** How far ahead a target may lie: what the projection looks at. */
const FURTHEST_MS = 13 * 24 * HOUR_MS;
const SKIES = ['good', 'middling', 'poor', 'open'] as const;
const DAYS = 7;

const QUERY = {
  until: 'when it must still be running: ISO 8601 with offset, or epoch ms; at most 13 days ahead',
  floor: 'state of charge that counts as empty, percent; the station’s own where left out',
  skies: `up to ${DAYS} of ${SKIES.join(', ')}, with commas: the sky of today and the days after it`,
  generatorW: 'watts a generator would bring in',
  vehicleW: 'watts a vehicle would bring in',
  wallW: 'watts a wall socket would bring in',
  with: 'id of another station, taken as one reserve with this one',
};

export function outlastRoutes(
  stations: StationList,
  {
    outlast,
    judging,
    clock,
    actions,
  }: Pick<ServerDeps, 'outlast' | 'judging' | 'clock'> & { actions: Pick<ServerActions, 'loads'> },
): Route[] {
  return [
    ...judgingRoutes(stations, judging),
    {
      method: 'GET',
      path: '/api/stations/{station}/outlast',
      summary: 'Chances in twenty of lasting until then, what is plugged in, what leaving it off or adding would do',
      query: QUERY,
      takes: null,
      gives: OutlastAnswer,
      async answer({ station, query }) {
        stations.require(station);
        return json(await outlast(station, askedFrom(query, station, stations, clock.now())));
      },
    },
    {
      method: 'POST',
      path: '/api/stations/{station}/loads',
      summary: 'The names of what is plugged in, and what must stay on; replaces all of them',
      query: {},
      takes: LoadsChoice,
      gives: DoneAnswer,
      async answer({ station, body }) {
        stations.require(station);
        await actions.loads(station, (body as LoadsChoice).load);
        return json({ done: true });
      },
    },
  ];
}

function judgingRoutes(stations: StationList, judging: ServerDeps['judging']): Route[] {
  const path = '/api/stations/{station}/judging';
  return [
    {
      method: 'GET',
      path,
      summary: 'How right earlier answers were on the last 30 days, or how far that reckoning has come',
      query: {},
      takes: null,
      gives: JudgingAnswer,
      answer({ station }) {
        stations.require(station);
        return json(judging.of(station));
      },
    },
    {
      method: 'POST',
      path,
      summary: 'Reckons how right the answers were, in a process of its own; minutes of work',
      query: {},
      takes: v.strictObject({}),
      gives: JudgingAnswer,
      answer({ station }) {
        stations.require(station);
        judging.begin(station);
        return json(judging.of(station));
      },
    },
  ];
}

function askedFrom(query: URLSearchParams, station: string, stations: StationList, nowMs: number): OutlastAsked {
  const untilAt = instantFrom(query, 'until');
  if (untilAt <= nowMs || untilAt > nowMs + FURTHEST_MS)
    throw new RequestFailure(400, 'The parameter until is not ahead of now.', 'Give a time within the next 13 days.');
  const other = query.get('with') ?? undefined;
  if (other !== undefined) stations.require(other);
  if (other === station)
    throw new RequestFailure(400, 'The parameter with names the same station.', 'Name another one.');
  const watts = (name: string) => numberFrom(query, name, 1, 20_000) ?? null;
  return {
    untilAt,
    floorPct: numberFrom(query, 'floor', 0, 90),
    skies: skiesFrom(query),
    sourceW: { generator: watts('generatorW'), vehicle: watts('vehicleW'), wall: watts('wallW') },
    with: other,
  };
}

function skiesFrom(query: URLSearchParams): OutlastAsked['skies'] {
  const text = query.get('skies');
  if (text === null) return [];
  const names = text.split(',');
  const known = SKIES.filter(sky => names.includes(sky));
  if (names.length > DAYS || names.some(name => !known.some(sky => sky === name)))
    throw new RequestFailure(400, 'The parameter skies is not right.', `Give up to ${DAYS} of ${SKIES.join(', ')}.`);
  return names.map(name =>
    name === 'open' ? null : (SKIES.find(sky => sky === name) as 'good' | 'middling' | 'poor'),
  );
}
