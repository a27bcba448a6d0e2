/** What the record tells: series, days, outages, the ledger as a file. */
import { DaysAnswer, OutagesAnswer, type RecordQueries, SeriesAnswer } from '#messages';
import type { ServerActions, ServerClock } from '../deps.ts';
import { encodeDay, encodeOutages, encodeSeries } from '../encode.ts';
import { checkOrder, dateFrom, instantFrom, MAX_POINTS, pointsFrom, quantitiesFrom } from '../query.ts';
import { json, type Route } from '../router.ts';
import type { StationList } from './stations.ts';

const FIRST_DATE = '0001-01-01';
const LAST_DATE = '9999-12-31';
/** Bounds that take in every instant the record can hold (the year 1 to 9999). */
const FIRST_MS = Date.UTC(0, 0, 1);
const LAST_MS = Date.UTC(9999, 11, 31);

const INSTANT_TEXT = 'ISO 8601 with offset, or epoch ms';
const DATES = { from: 'first civil date, YYYY-MM-DD', to: 'last civil date, included' };

export function recordRoutes(
  queries: RecordQueries,
  stations: StationList,
  actions: Pick<ServerActions, 'ledgerCsv'>,
  clock: ServerClock,
): Route[] {
  return [
    {
      method: 'GET',
      path: '/api/stations/{station}/series',
      summary: 'Quantities over time: least, mean and greatest per bucket, null where nothing was recorded',
      query: {
        quantity: 'name of a quantity; repeat it or separate with commas',
        from: INSTANT_TEXT,
        to: INSTANT_TEXT,
        points: `buckets wanted at most, up to ${MAX_POINTS}`,
      },
      takes: null,
      gives: SeriesAnswer,
      answer({ station, query }) {
        stations.require(station);
        const quantities = quantitiesFrom(query);
        const fromMs = instantFrom(query, 'from');
        const toMs = instantFrom(query, 'to', clock.now());
        checkOrder(fromMs, toMs);
        const points = pointsFrom(query);
        return json(encodeSeries(station, queries.series({ station, quantities, fromMs, toMs, points })));
      },
    },
    {
      method: 'GET',
      path: '/api/stations/{station}/days',
      summary: 'What each civil day gathered, with how much of it was recorded',
      query: DATES,
      takes: null,
      gives: DaysAnswer,
      answer({ station, query }) {
        const { zone } = stations.require(station);
        const [from, to] = datesFrom(query);
        const days = queries.days(station, from, to).map(day => encodeDay(day, clock.now()));
        return json({ station, zone, days });
      },
    },
    {
      method: 'GET',
      path: '/api/stations/{station}/outages',
      summary: 'When the mains failed and for how long',
      query: { from: INSTANT_TEXT, to: INSTANT_TEXT },
      takes: null,
      gives: OutagesAnswer,
      answer({ station, query }) {
        stations.require(station);
        const fromMs = instantFrom(query, 'from', FIRST_MS);
        const toMs = instantFrom(query, 'to', LAST_MS);
        checkOrder(fromMs, toMs);
        return json(encodeOutages(queries.outages(station, fromMs, toMs)));
      },
    },
    {
      method: 'GET',
      path: '/api/stations/{station}/days.csv',
      summary: 'The ledger as CSV',
      query: DATES,
      takes: null,
      gives: 'text/csv; charset=utf-8; header=present',
      answer({ station, query }) {
        stations.require(station);
        const [from, to] = datesFrom(query);
        return {
          type: 'text/csv; charset=utf-8; header=present',
          body: actions.ledgerCsv(station, from, to),
          headers: { 'Content-Disposition': `attachment; filename="ledger-${station}.csv"` },
        };
      },
    },
  ];
}

function datesFrom(query: URLSearchParams): [from: string, to: string] {
  const from = dateFrom(query, 'from', FIRST_DATE);
  const to = dateFrom(query, 'to', LAST_DATE);
  checkOrder(from, to);
  return [from, to];
}
