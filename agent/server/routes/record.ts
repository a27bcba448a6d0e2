/** What the record tells: series, days, outages, the ledger and the readings as files. */
import {
  DaysAnswer,
  LedgerAnswer,
  OutagesAnswer,
  RecordingSize,
  type RecordQueries,
  SeriesAnswer,
  type SeriesRequest,
} from '#messages';
import type { ReadingDoor, ServerClock } from '../deps.ts';
import { encodeDay, encodeOutages, encodeSeries } from '../encode.ts';
import { savedAs } from '../file-names.ts';
import { checkDates, checkSpan, dateFrom, instantFrom, MAX_POINTS, pointsFrom, quantitiesFrom } from '../query.ts';
import { JSON_TYPE, json, type Route } from '../router.ts';
import type { StationList } from './stations.ts';

const FIRST_DATE = '0001-01-01';
const LAST_DATE = '9999-12-31';
/** Bounds that take in every instant the record can hold. */
const FIRST_MS = Date.parse(`${FIRST_DATE}T00:00:00Z`);
const LAST_MS = Date.parse(`${LAST_DATE}T00:00:00Z`);

const INSTANT_TEXT = 'ISO 8601 with offset, or epoch ms';
const DATES = { from: 'first civil date, YYYY-MM-DD', to: 'last civil date, included' };
const CSV_TYPE = 'text/csv; charset=utf-8; header=present';
/** As registered with IANA. */
const PARQUET_TYPE = 'application/vnd.apache.parquet';

export function recordRoutes(
  queries: RecordQueries,
  stations: StationList,
  reading: ReadingDoor,
  clock: ServerClock,
): Route[] {
  return [
    seriesRoute(queries, stations, reading, clock),
    daysRoute(queries, stations, clock),
    outagesRoute(queries, stations),
    ledgerRoute(stations, reading),
    daysCsvRoute(stations, reading),
    recordingSizeRoute(stations, reading),
    recordingRoute(stations, reading, 'csv', CSV_TYPE),
    recordingRoute(stations, reading, 'parquet', PARQUET_TYPE),
  ];
}

/** Points of all quantities together that are some milliseconds of work; a chart of the page asks for fewer. */
const FEW_POINTS = 6_000;
/** Wider buckets come from stored minutes; finer ones from the readings themselves, of which there may be one a second. */
const FROM_READINGS_MS = 30_000;
/** Readings of more hours are a tenth of a second and more of work, several times that on a small computer. */
const FEW_READINGS_MS = 6 * 3_600_000;

const isQuick = ({ quantities, fromMs, toMs, points }: SeriesRequest): boolean =>
  points * quantities.length <= FEW_POINTS &&
  (toMs - fromMs <= FEW_READINGS_MS || toMs - fromMs > points * FROM_READINGS_MS);

function seriesRoute(queries: RecordQueries, stations: StationList, reading: ReadingDoor, clock: ServerClock): Route {
  return {
    method: 'GET',
    path: '/api/stations/{station}/series',
    summary: 'Quantities over time: least, mean and greatest per bucket, null where nothing was recorded',
    query: {
      quantity: 'name of a quantity; repeat it or separate with commas',
      from: INSTANT_TEXT,
      to: `${INSTANT_TEXT}; now where it is left out`,
      points: `buckets wanted at most, up to ${MAX_POINTS}`,
    },
    takes: null,
    gives: SeriesAnswer,
    answer({ station, query }) {
      stations.require(station);
      const quantities = quantitiesFrom(query);
      const fromMs = instantFrom(query, 'from');
      const toMs = instantFrom(query, 'to', clock.now());
      checkSpan(fromMs, toMs);
      const request = { station, quantities, fromMs, toMs, points: pointsFrom(query) };
      return isQuick(request)
        ? json(encodeSeries(station, queries.series(request)))
        : { type: JSON_TYPE, body: reading.series(request) };
    },
  };
}

function daysRoute(queries: RecordQueries, stations: StationList, clock: ServerClock): Route {
  return {
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
  };
}

function outagesRoute(queries: RecordQueries, stations: StationList): Route {
  return {
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
      checkSpan(fromMs, toMs);
      return json(encodeOutages(queries.outages(station, fromMs, toMs)));
    },
  };
}

function ledgerRoute(stations: StationList, reading: ReadingDoor): Route {
  return {
    method: 'GET',
    path: '/api/stations/{station}/ledger',
    summary: 'Days with what a cloudless sky would have given, where the rest went, yields, worth and the hours of sun',
    query: DATES,
    takes: null,
    gives: LedgerAnswer,
    answer({ station, query }) {
      const { zone } = stations.require(station);
      const [from, to] = datesFrom(query);
      const { body, tag } = reading.ledger(station, zone, from, to);
      // A browser may keep it, and asks each time whether it still holds.
      const headers = tag === null ? {} : { ETag: `"${tag}"`, 'Cache-Control': 'private, no-cache' };
      return { type: JSON_TYPE, body, headers };
    },
  };
}

function daysCsvRoute(stations: StationList, reading: ReadingDoor): Route {
  return {
    method: 'GET',
    path: '/api/stations/{station}/days.csv',
    summary: 'The same days as CSV, with notes of the owner',
    query: DATES,
    takes: null,
    gives: CSV_TYPE,
    answer({ station, query }) {
      const saved = stations.require(station);
      const [from, to] = datesFrom(query);
      const dates = { from: from === FIRST_DATE ? null : from, to: to === LAST_DATE ? null : to };
      return {
        type: CSV_TYPE,
        body: reading.daysCsv(station, saved.zone, from, to),
        headers: { 'Content-Disposition': savedAs(saved, 'days', dates, 'csv') },
      };
    },
  };
}

const BOUNDS = { from: INSTANT_TEXT, to: `${INSTANT_TEXT}; without this one` };

function recordingSizeRoute(stations: StationList, reading: ReadingDoor): Route {
  return {
    method: 'GET',
    path: '/api/stations/{station}/recording',
    summary: 'How many readings a file of them holds, and roughly how large it is',
    query: BOUNDS,
    takes: null,
    gives: RecordingSize,
    answer({ station, query }) {
      const { zone } = stations.require(station);
      const { fromMs, toMs } = boundsFrom(query);
      return { type: JSON_TYPE, body: reading.recordingSize(station, fromMs, toMs, zone) };
    },
  };
}

function boundsFrom(query: URLSearchParams): { fromMs: number; toMs: number } {
  const fromMs = instantFrom(query, 'from', FIRST_MS);
  const toMs = instantFrom(query, 'to', LAST_MS);
  checkSpan(fromMs, toMs);
  return { fromMs, toMs };
}

function recordingRoute(stations: StationList, reading: ReadingDoor, format: 'csv' | 'parquet', type: string): Route {
  return {
    method: 'GET',
    path: `/api/stations/{station}/recording.${format}`,
    summary: 'The readings themselves as a file, as far as they are saved; a broken transfer is an incomplete one',
    query: BOUNDS,
    takes: null,
    gives: type,
    answer({ station, query }) {
      const saved = stations.require(station);
      const { fromMs, toMs } = boundsFrom(query);
      const { zone } = saved;
      // The end is no part of it: at midnight the day before is the last one.
      const dates = {
        from: fromMs === FIRST_MS ? null : reading.dateOf(fromMs, zone),
        to: toMs === LAST_MS ? null : reading.dateOf(Math.max(fromMs, toMs - 1), zone),
      };
      return {
        type,
        body: reading.recording(station, format, fromMs, toMs, zone),
        headers: { 'Content-Disposition': savedAs(saved, 'readings', dates, format) },
      };
    },
  };
}

function datesFrom(query: URLSearchParams): [from: string, to: string] {
  const from = dateFrom(query, 'from', FIRST_DATE);
  const to = dateFrom(query, 'to', LAST_DATE);
  checkDates(from, to);
  return [from, to];
}
