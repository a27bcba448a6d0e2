/** Aiming: marks of a walk, spots and where the panels stand, where to point, and why so few watts come in. */
import type * as v from 'valibot';
import { AimAnswer, DoneAnswer, MarkAnswer, MarkChange, MarkChoice, SpotChange } from '#messages';
import type { AimDoor } from '../deps.ts';
import { json, type Route } from '../router.ts';
import type { StationList } from './stations.ts';

export function aimRoutes(stations: StationList, aim: AimDoor): Route[] {
  const change = <S extends v.GenericSchema>(
    method: 'POST' | 'PUT',
    path: string,
    summary: string,
    takes: S,
    act: (station: string, body: v.InferOutput<S>) => void,
  ): Route => ({
    method,
    path: `/api/stations/{station}/${path}`,
    summary,
    needs: 'mark',
    query: {},
    takes,
    gives: DoneAnswer,
    answer({ station, body }) {
      stations.require(station);
      act(station, body as v.InferOutput<S>);
      return json({ done: true });
    },
  });
  return [
    {
      method: 'GET',
      path: '/api/stations/{station}/aim',
      summary: 'Where to point, the named spots with their sun and shade, and why so few watts come in',
      query: {},
      takes: null,
      gives: AimAnswer,
      async answer({ station }) {
        stations.require(station);
        return json(await aim.answer(station));
      },
    },
    {
      method: 'POST',
      path: '/api/stations/{station}/marks',
      summary: 'Marks the spot where the panels stand with what comes in there; saved once it is answered',
      needs: 'mark',
      query: {},
      takes: MarkChoice,
      gives: MarkAnswer,
      answer({ station, body }) {
        stations.require(station);
        return json(aim.mark(station, body as MarkChoice));
      },
    },
    change(
      'PUT',
      'marks',
      'Takes the last mark back, begins a new walk, names a mark or notes something',
      MarkChange,
      (station, body) => aim.changeMarks(station, body),
    ),
    change(
      'POST',
      'spots',
      'Spots: named, changed, removed, and which of them the panels stand at',
      SpotChange,
      (station, body) => aim.changeSpots(station, body),
    ),
  ];
}
