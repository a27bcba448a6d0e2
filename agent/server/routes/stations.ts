/** Which stations there are, what each says now, and what the owner can tell one of them. */

import * as v from 'valibot';
import { WattkeepError } from '#kit';
import {
  DoneAnswer,
  InputSourceChoice,
  type LiveMessage,
  NowAnswer,
  ProjectionAnswer,
  StationsAnswer,
  TypedValues,
  type WireStation,
} from '#messages';
import type { ServerActions, ServerDeps } from '../deps.ts';
import { json, type Route, type RouteRequest } from '../router.ts';

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

export function stationRoutes(
  stations: StationList,
  current: ServerDeps['current'],
  actions: Pick<ServerActions, 'typed' | 'inputSource' | 'retry'>,
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
      ...changeOf('/api/stations/{station}/typed', 'Numbers the owner read from the screen', TypedValues),
      answer: request => told(request, values => actions.typed(request.station, values as TypedValues)),
    },
    {
      ...changeOf('/api/stations/{station}/input-source', 'What the input comes from now', InputSourceChoice),
      answer: request =>
        told(request, choice => actions.inputSource(request.station, (choice as InputSourceChoice).inputSource)),
    },
    {
      ...changeOf('/api/stations/{station}/retry', 'Try the link again now', Nothing),
      answer: request => told(request, () => actions.retry(request.station)),
    },
  ];

  async function told({ station, body }: RouteRequest, act: (body: unknown) => void | Promise<void>) {
    stations.require(station);
    await act(body);
    return json({ done: true });
  }
}

const changeOf = (path: string, summary: string, takes: v.GenericSchema) =>
  ({ method: 'POST', path, summary, query: {}, takes, gives: DoneAnswer }) as const;

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
