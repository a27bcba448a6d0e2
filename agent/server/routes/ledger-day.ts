/** One day of the Ledger, and what the owner tells of days: notes, spans with their reason, from when a fact was true. */
import type * as v from 'valibot';
import {
  DoneAnswer,
  FactChange,
  FactChanged,
  FactsAnswer,
  LedgerDayAnswer,
  NoteChange,
  SpanChange,
  SpansAnswer,
} from '#messages';
import type { DayDoor } from '../deps.ts';
import { checkSpan, dateFrom, instantFrom } from '../query.ts';
import { json, type Route } from '../router.ts';
import type { StationList } from './stations.ts';

export function ledgerDayRoutes(stations: StationList, days: DayDoor, nowMs: () => number): Route[] {
  const change = <S extends v.GenericSchema>(
    path: string,
    summary: string,
    takes: S,
    act: (station: string, body: v.InferOutput<S>) => Promise<void>,
  ): Route => ({
    method: 'POST',
    path: `/api/stations/{station}/${path}`,
    summary,
    needs: 'mark',
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
    {
      method: 'GET',
      path: '/api/stations/{station}/day',
      summary: 'One day: its bounds, clear sky, outages, spans, marks and notes',
      query: { date: 'civil date, YYYY-MM-DD' },
      takes: null,
      gives: LedgerDayAnswer,
      async answer({ station, query }) {
        stations.require(station);
        return json(await days.day(station, dateFrom(query, 'date')));
      },
    },
    {
      method: 'GET',
      path: '/api/stations/{station}/spans',
      summary: 'Spans of time with their reason, as far as they touch a stretch of time',
      query: { from: 'ISO 8601 with offset, or epoch ms', to: 'the same; now where it is left out' },
      takes: null,
      gives: SpansAnswer,
      async answer({ station, query }) {
        stations.require(station);
        const fromMs = instantFrom(query, 'from');
        const toMs = instantFrom(query, 'to', nowMs());
        checkSpan(fromMs, toMs);
        return json(await days.spans(station, fromMs, toMs));
      },
    },
    change('notes', 'Notes to a day or a moment of it: written, changed, removed', NoteChange, (station, body) =>
      days.changeNote(station, body),
    ),
    change(
      'spans',
      'Spans of time with their reason: lent, stored, travelling, panels in; begun, ended, told, removed',
      SpanChange,
      (station, body) => days.changeSpan(station, body),
    ),
    ...factRoutes(stations, days),
  ];
}

const factRoutes = (stations: StationList, days: DayDoor): Route[] => [
  {
    method: 'GET',
    path: '/api/stations/{station}/facts',
    summary: 'What was true of the station from when on',
    query: {},
    takes: null,
    gives: FactsAnswer,
    async answer({ station }) {
      stations.require(station);
      return json(await days.facts(station));
    },
  },
  {
    method: 'POST',
    path: '/api/stations/{station}/facts',
    summary: 'Puts right from which day a fact was true, or tells what that would change',
    query: {},
    takes: FactChange,
    gives: FactChanged,
    async answer({ station, body }) {
      stations.require(station);
      return json(await days.moveFact(station, body as FactChange));
    },
  },
];
