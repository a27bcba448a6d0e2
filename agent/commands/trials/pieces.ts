/** What is answered about trials from the record, in one piece each: JSON, or a page of HTML. Made where reading is done. */
import { civilDate, zoneOffsetMs } from '#energy/civil-day';
import type { RecordedDay } from '#energy/estimates/plan/weather';
import { WattkeepError } from '#kit';
import type { ComparisonAnswer, KeptTrial, RecordQueries, WireJudgement, WireTrial } from '#messages';
import { createColumns } from '../../trials/columns.ts';
import { stretchOf, trialOf } from '../../trials/life.ts';
import { type Axis, drawing } from '../../trials/report/drawings.ts';
import { reportHtml } from '../../trials/report/page.ts';
import { wireTrial } from '../../trials/told.ts';
import { localIso } from '../local-iso.ts';
import { planPast } from '../plan-past.ts';
import { comparison, firstWeekOf, placeOf, yearsAnswer } from './beside.ts';
import { createTrialJudge } from './judging.ts';
import { knownStation, stationName, type TrialsKnown } from './known.ts';

/** The answer to `judge` is JSON of `{ id, judgement }[]`, one for each live trial. */
export type TrialsQuestion =
  | { readonly do: 'judge' }
  | { readonly do: 'compare'; readonly ids: readonly string[] }
  | { readonly do: 'firstWeek' | 'years'; readonly station: string }
  | { readonly do: 'chart'; readonly ids: readonly string[]; readonly axis: Axis }
  | { readonly do: 'report'; readonly ids: readonly string[]; readonly show: ReportShow };

/** What of the owner's is shown because somebody chose to. */
export interface ReportShow {
  readonly large: boolean;
  readonly place: boolean;
  readonly clock: boolean;
}

export interface TrialsAsked {
  readonly what: 'trials';
  readonly question: TrialsQuestion;
  readonly known: TrialsKnown;
}

export type TrialsRecord = Pick<
  RecordQueries,
  'readings' | 'trial' | 'trials' | 'liveTrials' | 'days' | 'extent' | 'series' | 'facts'
>;

export interface LiveJudgement {
  readonly id: string;
  readonly judgement: WireJudgement;
}

/** Of this process, for as long as it lives. */
const judge = createTrialJudge();

export const judgeLive = (record: TrialsRecord, nowMs: number): LiveJudgement[] =>
  record.liveTrials().map(trial => ({ id: trial.id, judgement: judge.judge(record, trial, nowMs) }));

/** null after a while of work. Throws WattkeepError at any step. */
export function* trialsPieces(
  record: TrialsRecord,
  { question, known }: Pick<TrialsAsked, 'question' | 'known'>,
  nowMs: number,
): Generator<Uint8Array | null> {
  const json = (answer: object) => Buffer.from(JSON.stringify(answer));
  switch (question.do) {
    case 'judge':
      yield json(judgeLive(record, nowMs));
      return;
    case 'compare':
      yield json(yield* compared(record, known, question.ids, nowMs));
      return;
    case 'firstWeek': {
      const station = knownStation(known, question.station);
      if (station === undefined)
        throw new WattkeepError('STATION_UNKNOWN', `There is no station "${question.station}".`, 'See Setup.');
      yield json(firstWeekOf(record, station, nowMs));
      return;
    }
    case 'years':
      yield json(yearsAnswer(record, question.station, knownStation(known, question.station)));
      return;
    case 'chart':
      yield Buffer.from(chartOf(record, known, question, nowMs));
      return;
    case 'report':
      yield Buffer.from(yield* reportOf(record, known, question, nowMs));
  }
}

/** What the panels gave of cloudless days is read for results of the sun alone. */
function* compared(
  record: TrialsRecord,
  known: TrialsKnown,
  ids: readonly string[],
  nowMs: number,
): Generator<null, ComparisonAnswer> {
  const days = new Map<string, readonly RecordedDay[]>();
  for (const trial of ids.map(id => trialOf(record, id)))
    if (trial.kind === 'solar' && !days.has(trial.station)) {
      const zone = knownStation(known, trial.station)?.zone ?? 'UTC';
      days.set(trial.station, (yield* planPast(record, trial.station, zone, nowMs)).days);
    }
  return comparison(record, known, ids, nowMs, station => days.get(station) ?? []);
}

function* reportOf(
  record: TrialsRecord,
  known: TrialsKnown,
  { ids, show }: { readonly ids: readonly string[]; readonly show: ReportShow },
  nowMs: number,
): Generator<null, string> {
  const all = yield* compared(record, known, ids, nowMs);
  const kept = all.trials.map(({ id }) => trialOf(record, id));
  const zoneOf = (station: string) => knownStation(known, station)?.zone ?? 'UTC';
  const trials = kept.map(trial => toldNow(record, known, trial, nowMs));
  const samples = new Map<string, number>();
  for (const trial of kept) {
    samples.set(trial.id, countOf(record, trial, nowMs));
    yield null;
  }
  const clockZone = zoneOf(kept[0]!.station);
  const clock = (iso: string) => {
    const at = Date.parse(iso);
    return localIso(at, zoneOffsetMs(at, clockZone)).replace('T', ' ').slice(0, 16);
  };
  return reportHtml({
    comparison: { ...all, trials },
    large: show.large,
    places: new Map(show.place ? kept.flatMap(trial => placed(trial)) : []),
    clock: show.clock ? clock : null,
    dateOf: (trial, iso) => civilDate(Date.parse(iso), zoneOf(trial.station)),
    samples,
    madeOn: civilDate(nowMs, clockZone),
    version: known.version,
  });
}

/** As it was judged when it ended, or is now. */
const toldNow = (record: TrialsRecord, known: TrialsKnown, trial: KeptTrial, nowMs: number): WireTrial =>
  wireTrial(
    trial,
    stationName(known, trial.station),
    trial.judgementJson === null ? judge.judge(record, trial, nowMs) : null,
  );

function chartOf(
  record: TrialsRecord,
  known: TrialsKnown,
  { ids, axis }: { readonly ids: readonly string[]; readonly axis: Axis },
  nowMs: number,
): string {
  const svg = drawing(
    ids.map(id => toldNow(record, known, trialOf(record, id), nowMs)),
    axis,
  );
  if (svg !== '') return svg;
  throw new WattkeepError(
    'REQUEST_INVALID',
    'These trials have no such curve.',
    'GET /api/trials/ID names its curves.',
  );
}

function placed(trial: KeptTrial): [string, { latitudeDeg: number; longitudeDeg: number }][] {
  const place = placeOf(trial);
  return place === null ? [] : [[trial.id, place]];
}

function countOf(record: TrialsRecord, trial: KeptTrial, nowMs: number): number {
  const columns = createColumns();
  const { fromMs, toMs } = stretchOf(trial, nowMs);
  for (const reading of record.readings(trial.station, fromMs, toMs)) columns.add(reading);
  return columns.count;
}
