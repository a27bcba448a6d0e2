/** Trials: begun, watched, ended, set side by side, reported; the first week and the years of a station. */
import { WattkeepError } from '#kit';
import {
  ComparisonAnswer,
  FirstWeekAnswer,
  TrialAnswer,
  TrialChange,
  TrialStart,
  TrialsAnswer,
  YearsAnswer,
} from '#messages';
import { TRIAL_AXES, type TrialAxis, type TrialsDoor } from '../deps.ts';
import { JSON_TYPE, json, type Route, type RouteAnswer, type RouteRequest } from '../router.ts';
import type { StationList } from './stations.ts';

const CSV_TYPE = 'text/csv; charset=utf-8; header=present';
const HTML_TYPE = 'text/html; charset=utf-8';
const SVG_TYPE = 'image/svg+xml';
const MOST_BESIDE = 8;
const ID = /^[a-z0-9][a-z0-9-]{0,39}$/;

const SHOW = {
  large: '1: in big type, for showing others',
  place: '1: with the coordinates of the place',
  clock: '1: with hours of the clock',
};

/** A report that is looked at beside the page may run nothing and send nothing. */
const ALONE = { 'content-security-policy': "default-src 'none'; style-src 'unsafe-inline'; img-src data:; sandbox" };

function idsFrom(query: URLSearchParams): string[] {
  const ids = [...new Set(query.getAll('ids').flatMap(one => one.split(',')))].filter(id => id !== '');
  if (ids.length === 0 || ids.length > MOST_BESIDE || !ids.every(id => ID.test(id)))
    throw new WattkeepError(
      'REQUEST_INVALID',
      'ids does not name trials.',
      `Give one to ${MOST_BESIDE}, parted by commas.`,
    );
  return ids;
}

function axisFrom(query: URLSearchParams): TrialAxis {
  const axis = TRIAL_AXES.find(one => one === query.get('of'));
  if (axis !== undefined) return axis;
  throw new WattkeepError('REQUEST_INVALID', 'of names no curve.', `Give one of ${TRIAL_AXES.join(', ')}.`);
}

const shown = (query: URLSearchParams) => ({
  large: isOn(query, 'large'),
  place: isOn(query, 'place'),
  clock: isOn(query, 'clock'),
});
const isOn = (query: URLSearchParams, name: string): boolean => query.has(name) && query.get(name) !== '0';

export function trialRoutes(stations: StationList, trials: TrialsDoor): Route[] {
  const page = (ids: readonly string[], query: URLSearchParams): RouteAnswer => ({
    type: HTML_TYPE,
    body: trials.report(ids, shown(query)),
    headers: ALONE,
  });
  const reading = (
    path: string,
    summary: string,
    gives: Route['gives'],
    answer: (request: RouteRequest) => RouteAnswer,
  ) => ({ method: 'GET', path, summary, query: {}, takes: null, gives, answer }) satisfies Route;
  return [
    {
      method: 'GET',
      path: '/api/trials',
      summary: 'Kinds of trial with what each needs, and the trials there are, newest first',
      query: { station: 'of this station alone, and what it lacks for each kind' },
      takes: null,
      gives: TrialsAnswer,
      async answer({ query }) {
        const station = query.get('station');
        if (station !== null) stations.require(station);
        return json(await trials.list(station));
      },
    },
    {
      method: 'POST',
      path: '/api/trials',
      summary: 'Starts a trial; it begins and ends by itself',
      query: {},
      takes: TrialStart,
      gives: TrialAnswer,
      async answer({ body }) {
        const start = body as TrialStart;
        stations.require(start.station);
        return json(await trials.start(start));
      },
    },
    {
      ...reading('/api/trials/compare', 'Results side by side', ComparisonAnswer, ({ query }) => ({
        type: JSON_TYPE,
        body: trials.compare(idsFrom(query)),
      })),
      query: { ids: 'ids of trials, parted by commas' },
    },
    {
      ...reading('/api/trials/report', 'Results side by side as a page for printing', HTML_TYPE, ({ query }) =>
        page(idsFrom(query), query),
      ),
      query: { ids: 'ids of trials, parted by commas', ...SHOW },
    },
    {
      ...reading('/api/trials/chart', 'A curve of one or more trials as a drawing', SVG_TYPE, ({ query }) => ({
        type: SVG_TYPE,
        body: trials.chart(idsFrom(query), axisFrom(query)),
        headers: ALONE,
      })),
      query: { ids: 'ids of trials, parted by commas', of: TRIAL_AXES.join(', ') },
    },
    ...oneTrial(trials, page),
    reading(
      '/api/stations/{station}/first-week',
      'Trials worth doing before it can no longer be given back',
      FirstWeekAnswer,
      ({ station }) => {
        stations.require(station);
        return { type: JSON_TYPE, body: trials.firstWeek(station) };
      },
    ),
    reading(
      '/api/stations/{station}/years',
      'Full cycles, usable energy over time, and what was warranted',
      YearsAnswer,
      ({ station }) => {
        stations.require(station);
        return { type: JSON_TYPE, body: trials.years(station) };
      },
    ),
  ];
}

const oneTrial = (
  trials: TrialsDoor,
  page: (ids: readonly string[], query: URLSearchParams) => RouteAnswer,
): Route[] => [
  {
    method: 'GET',
    path: '/api/trials/{trial}',
    summary: 'One trial with its judgement; of a live one as of now',
    query: {},
    takes: null,
    gives: TrialAnswer,
    answer: async ({ station: trial }) => json(await trials.one(trial)),
  },
  {
    method: 'PUT',
    path: '/api/trials/{trial}',
    summary: 'Ends, removes, or tells of a trial: conditions, a step taken by hand, the count of a meter',
    query: {},
    takes: TrialChange,
    gives: TrialAnswer,
    answer: async ({ station: trial, body }) => json(await trials.change(trial, body as TrialChange)),
  },
  {
    method: 'GET',
    path: '/api/trials/{trial}/report',
    summary: 'A trial as a page for printing, that needs nothing else',
    query: SHOW,
    takes: null,
    gives: HTML_TYPE,
    answer: ({ station: trial, query }) => page([trial], query),
  },
  {
    method: 'GET',
    path: '/api/trials/{trial}/samples.csv',
    summary: 'The readings of a trial, as CSV',
    query: {},
    takes: null,
    gives: CSV_TYPE,
    answer: async ({ station: trial }) => ({
      type: CSV_TYPE,
      body: await trials.samples(trial),
      headers: { 'content-disposition': `attachment; filename="${trial}.csv"` },
    }),
  },
];
