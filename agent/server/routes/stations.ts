/** Which stations there are, what each says now, and what the owner can tell one of them. */

import * as v from 'valibot';
import { WattkeepError } from '#kit';
import {
  DoneAnswer,
  InputSourceChoice,
  type LiveMessage,
  NowAnswer,
  ProjectionAnswer,
  StationSettings,
  StationsAnswer,
  TypedValues,
  type WireStation,
} from '#messages';
import type { ServerActions, ServerDeps } from '../deps.ts';
import { json, type Route } from '../router.ts';

/** The stations of this moment; replaced as a whole when the settings change. */
export class StationList {
  #stations: readonly WireStation[] = [];

  get all(): readonly WireStation[] {
    return this.#stations;
  }

  replace(stations: readonly WireStation[]): void {
    this.#stations = stations;
  }

  /** @throws WattkeepError STATION_UNKNOWN */
  require(id: string): WireStation {
    const station = this.#stations.find(s => s.id === id);
    if (station !== undefined) return station;
    throw new WattkeepError('STATION_UNKNOWN', `There is no station ${id}.`, 'GET /api/stations lists them.');
  }
}

const Nothing = v.strictObject({});
const CALENDAR_TYPE = 'text/calendar; charset=utf-8';

export function stationRoutes(
  stations: StationList,
  told: Pick<ServerDeps, 'current' | 'stationSettings'>,
  actions: Pick<
    ServerActions,
    'typed' | 'inputSource' | 'retry' | 'release' | 'putAway' | 'putAwayCalendar' | 'confirmUnits'
  >,
): Route[] {
  return [...toldByStations(stations, told), ...toldByOwner(stations, actions), calendarRoute(stations, actions)];
}

function toldByStations(
  stations: StationList,
  { current, stationSettings }: Pick<ServerDeps, 'current' | 'stationSettings'>,
): Route[] {
  const newest = <T extends LiveMessage['type']>(station: string, type: T) => {
    stations.require(station);
    return current(station).find((m): m is Extract<LiveMessage, { type: T }> => m.type === type);
  };
  return [
    {
      method: 'GET',
      path: '/api/stations',
      summary: 'The stations',
      query: {},
      takes: null,
      gives: StationsAnswer,
      answer: () => json({ stations: stations.all }),
    },
    {
      method: 'GET',
      path: '/api/stations/{station}/now',
      summary: 'The newest reading, its age and the state of the link',
      query: {},
      takes: null,
      gives: NowAnswer,
      answer({ station }) {
        const last = newest(station, 'reading');
        const status = newest(station, 'status')?.status ?? waitingFor(station);
        return json({ reading: last?.reading ?? null, ageMs: last?.ageMs ?? null, status });
      },
    },
    {
      method: 'GET',
      path: '/api/stations/{station}/projection',
      summary: 'How long it lasts or when it is full, with its range and what it rests on',
      query: {},
      takes: null,
      gives: ProjectionAnswer,
      answer: ({ station }) => json({ projection: newest(station, 'projection')?.projection ?? null }),
    },
    {
      method: 'GET',
      path: '/api/stations/{station}/settings',
      summary: 'What the station was told of itself: its ports, its panels, its place',
      query: {},
      takes: null,
      gives: StationSettings,
      answer({ station }) {
        stations.require(station);
        return json(stationSettings(station));
      },
    },
  ];
}

function toldByOwner(
  stations: StationList,
  actions: Pick<ServerActions, 'typed' | 'inputSource' | 'retry' | 'release' | 'putAway' | 'confirmUnits'>,
): Route[] {
  const change = <S extends v.GenericSchema>(
    path: string,
    summary: string,
    takes: S,
    act: (station: string, body: v.InferOutput<S>) => void | Promise<void>,
  ): Route => ({
    method: 'POST',
    path: `/api/stations/{station}/${path}`,
    summary,
    query: {},
    takes,
    gives: DoneAnswer,
    async answer({ station, body }) {
      stations.require(station);
      await act(station, body as v.InferOutput<S>);
      return json({ done: true });
    },
  });
  return [
    change('typed', 'Numbers the owner read from the screen', TypedValues, (station, values) =>
      actions.typed(station, values),
    ),
    change('input-source', 'What the input comes from now', InputSourceChoice, (station, { inputSource }) =>
      actions.inputSource(station, inputSource),
    ),
    change('retry', 'Try the link again now; takes up a station that was let go', Nothing, station =>
      actions.retry(station),
    ),
    change('release', 'Let the station go for ten minutes, so that another app can have it', Nothing, station =>
      actions.release(station),
    ),
    change('put-away', 'Let the station go until it is taken up by a retry', Nothing, station =>
      actions.putAway(station),
    ),
    change('units', 'The station really tells other units now: take them', Nothing, station =>
      actions.confirmUnits(station),
    ),
  ];
}

const calendarRoute = (stations: StationList, actions: Pick<ServerActions, 'putAwayCalendar'>): Route => ({
  method: 'GET',
  path: '/api/stations/{station}/put-away.ics',
  summary: 'When to top up a station that is put away, for a calendar',
  query: {},
  takes: null,
  gives: CALENDAR_TYPE,
  answer({ station }) {
    stations.require(station);
    return {
      type: CALENDAR_TYPE,
      body: actions.putAwayCalendar(station),
      headers: { 'Content-Disposition': `attachment; filename="top-up-${station}.ics"` },
    };
  },
});

/** A station that was only just added has not said anything about its link. */
function waitingFor(station: string): NowAnswer['status'] {
  return {
    station,
    phase: 'connecting',
    attempt: 0,
    attemptsAllowed: 0,
    nextTryInMs: null,
    staleAfterMs: null,
    link: '',
    accepted: 0,
    rejected: {},
  };
}
