/** Results side by side, what the money buys, the first week and the years of a station, from what the record keeps. */
import { civilDate } from '#energy/civil-day';
import { clearMonths } from '#energy/estimates/plan/clear-months';
import { type RecordedDay, weatherOf } from '#energy/estimates/plan/weather';
import { type Comparable, differencesOf } from '#energy/estimates/trials/compare';
import type { Figure } from '#energy/estimates/trials/figure';
import { type FirstWeekAsked, firstWeek } from '#energy/estimates/trials/first-week';
import { asTrue } from '#energy/estimates/trials/true-value';
import { exactly, harvestAYear, type Range, rangeOf, worthOf } from '#energy/estimates/trials/worth';
import { yearsOf } from '#energy/estimates/trials/years';
import { MILLIJ_PER_WH } from '#energy/integrate';
import { panelsOf } from '#energy/panel-power';
import { DEFAULT_TURBIDITY } from '#energy/sky';
import type {
  ComparisonAnswer,
  FirstWeekAnswer,
  KeptTrial,
  RecordQueries,
  WireJudgement,
  YearsAnswer,
} from '#messages';
import { askedOf, isLive, trialOf } from '../../trials/life.ts';
import { wireTrial } from '../../trials/told.ts';
import { type KnownStation, knownStation, stationName, type TrialsKnown } from './known.ts';

export type BesideRecord = Pick<RecordQueries, 'trial' | 'trials' | 'days' | 'extent' | 'series'>;

const DAYS_A_YEAR = 365.25;
const FIRST_DATE = '0001-01-01';
const LAST_DATE = '9999-12-31';
/** A cloudless sky is known to some 10 % a day; over a year less. Own judgement. */
const CLEAR_SKY_SHARE = 0.06;
/** Where no weather is on record. Own judgement. */
const ASSUMED_SHARE = 0.25;

const judgementOf = (trial: KeptTrial): WireJudgement | null =>
  trial.judgementJson === null ? null : (JSON.parse(trial.judgementJson) as WireJudgement);

/** null for what is not over or has no result: nothing of a spoiled trial is ever set beside another. */
function comparable(trial: KeptTrial): Comparable | null {
  const judgement = judgementOf(trial);
  if (judgement === null || judgement.result === null || judgement.phase === 'spoiled') return null;
  return {
    id: trial.id,
    station: trial.station,
    kind: trial.kind as Comparable['kind'],
    result: judgement.result,
    ownWattsLimitPct: askedOf(trial).options.ownWattsLimitPct,
  };
}

const figure = (of: Comparable, ...names: readonly string[]): Figure | undefined =>
  names.map(name => of.result.figures.find(f => f.what === name)).find(f => f !== undefined);

/** Every pair once, each with all that tells. @param recordedDays clearness of days of a station, where asked */
export function comparison(
  record: BesideRecord,
  known: TrialsKnown,
  ids: readonly string[],
  nowMs: number,
  recordedDays: (station: string) => readonly RecordedDay[],
): ComparisonAnswer {
  const trials = [...new Set(ids)].map(id => trialOf(record, id));
  const results = trials.flatMap(trial => comparable(trial) ?? []);
  const pairs = results.flatMap((a, i) => results.slice(i + 1).map(b => [a, b] as const));
  return {
    trials: trials.map(trial => wireTrial(trial, stationName(known, trial.station), null)),
    differences: pairs.flatMap(([a, b]) =>
      differencesOf(a, b).map(one => ({ ...one, because: [...one.because], budget: [...one.budget] })),
    ),
    worth: results.map(of => worthOfResult(of, known, nowMs, recordedDays)),
    currency: known.tariff?.currency ?? null,
  };
}

function worthOfResult(
  of: Comparable,
  known: TrialsKnown,
  nowMs: number,
  recordedDays: (station: string) => readonly RecordedDay[],
): ComparisonAnswer['worth'][number] {
  const station = knownStation(known, of.station);
  const delivered = figure(of, 'deliveredByMeterWh', 'deliveredWh');
  const isSun = of.kind === 'solar';
  const harvest =
    isSun && station !== undefined
      ? harvestOf(station, figure(of, 'ofClearSkyPct') ?? null, nowMs, recordedDays(of.station))
      : null;
  const panelsPaid = station?.settings.panel.map(panel => panel.paid ?? Number.NaN) ?? [];
  const paidForPanels = panelsPaid.length === 0 ? Number.NaN : panelsPaid.reduce((a, b) => a + b, 0);
  const paid = isSun ? (Number.isNaN(paidForPanels) ? null : paidForPanels) : (station?.settings.paid ?? null);
  const worth = worthOf({
    paid,
    delivered: delivered === undefined ? null : rangeOf(asTrue(delivered, of)),
    harvestWhAYear: harvest,
    perKWh: priceRange(known),
  });
  return { trial: of.id, ...worth, harvestWhAYear: harvest };
}

/** From the cheapest to the dearest hour. */
function priceRange({ tariff }: TrialsKnown): Range | null {
  if (tariff === null) return null;
  const prices = [tariff.perKWh, ...(tariff.hours ?? []).map(({ perKWh }) => perKWh)];
  return { value: tariff.perKWh, low95: Math.min(...prices), high95: Math.max(...prices) };
}

/** At this place and plane, under the weather of the record, or an assumed one. null where place or plane is not told. */
function harvestOf(
  { settings, panels, portMaxW }: KnownStation,
  found: Figure | null,
  nowMs: number,
  days: readonly RecordedDay[],
): Range | null {
  const { place } = settings;
  const standing = panels.flatMap(({ ratedW, powerPerK, plane }) =>
    plane === null ? [] : [{ ...panelsOf(ratedW), ...(powerPerK === null ? {} : { powerPerK }), plane }],
  );
  if (place === undefined || standing.length === 0) return null;
  const sky = {
    latitudeDeg: place.latitudeDeg,
    longitudeDeg: place.longitudeDeg,
    altitudeM: place.altitudeM ?? 0,
    turbidity: place.turbidity ?? DEFAULT_TURBIDITY,
  };
  const months = clearMonths(sky, standing, portMaxW, new Date(nowMs).getUTCFullYear());
  const mean = (values: readonly number[]) => values.reduce((a, b) => a + b, 0) / values.length;
  const clearWh = mean(months.map(({ clearWh: wh }) => wh)) * DAYS_A_YEAR;
  const weathers = months.map(({ month }) => weatherOf(days, month));
  const clearness = months.reduce((sum, { clearWh: wh }, i) => sum + wh * mean(weathers[i]!.clearness), 0);
  const share = clearness / Math.max(1e-9, 12 * mean(months.map(({ clearWh: wh }) => wh)));
  const assumed = weathers.some(({ from }) => from === 'assumed');
  const within = (value: number, part: number): Range => ({
    value,
    low95: value * (1 - part),
    high95: value * (1 + part),
  });
  return clearWh <= 0
    ? null
    : harvestAYear(found, within(clearWh, CLEAR_SKY_SHARE), within(share, assumed ? ASSUMED_SHARE : CLEAR_SKY_SHARE));
}

export function firstWeekOf(
  record: BesideRecord,
  { settings, zone, gives }: KnownStation,
  nowMs: number,
): FirstWeekAnswer {
  const today = civilDate(nowMs, zone);
  const extent = record.extent(settings.id);
  const seen = extent === null ? null : civilDate(extent.fromMs, zone);
  // Bought before it was first read: the days count from then.
  const first = [settings.boughtOn, seen].filter(date => typeof date === 'string').sort()[0] ?? today;
  const charged = fullDay(record, settings.id, first, settings.chargeCeilingPct);
  const trials = record.trials(settings.id).flatMap((trial): FirstWeekAsked['trials'][number][] => {
    if (trial.removedAt !== null) return [];
    const kind = trial.kind as Comparable['kind'];
    const told = { id: trial.id, kind, date: civilDate(trial.startedAt, zone) };
    if (isLive(trial)) return [{ ...told, state: 'running' }];
    return judgementOf(trial)?.phase === 'done' ? [{ ...told, state: 'done' }] : [];
  });
  const week = firstWeek({
    firstSeen: first,
    today,
    returnBy: settings.returnBy ?? null,
    fullyCharged: charged?.date ?? null,
    hasPanels: settings.panel.length > 0,
    tellsBattery: gives.includes('batteryVoltageV') || gives.includes('batteryPowerW'),
    trials,
  });
  return {
    station: settings.id,
    firstSeen: seen,
    returnBy: settings.returnBy ?? null,
    fullyChargedAt: charged === null ? null : new Date(charged.at).toISOString(),
    steps: week.steps.map(step => ({ ...step, hours: [...step.hours] })),
    leftOut: [...week.leftOut],
  };
}

const MINUTE_MS = 60_000;
const NEAR_FULL_PCT = 0.5;

/** The first day on which it was full, and about when. */
function fullDay(record: BesideRecord, station: string, from: string, ceilingPct: number) {
  const day = record
    .days(station, from, LAST_DATE)
    .find(({ stateOfChargeMaxPct }) => (stateOfChargeMaxPct ?? 0) >= ceilingPct - NEAR_FULL_PCT);
  if (day === undefined) return null;
  const span = { fromMs: day.startMs, toMs: day.endMs };
  const points = Math.ceil((day.endMs - day.startMs) / MINUTE_MS);
  const { columns, startMs, stepMs } = record.series({ station, quantities: ['stateOfChargePct'], ...span, points });
  const index = columns.stateOfChargePct?.max.findIndex(pct => pct !== null && pct >= ceilingPct - NEAR_FULL_PCT) ?? -1;
  return { date: day.date, at: index < 0 ? day.startMs : startMs + index * stepMs };
}

export function yearsAnswer(record: BesideRecord, station: string, of: KnownStation | undefined): YearsAnswer {
  const trials = record
    .trials(station)
    .filter(trial => trial.kind === 'usable' && trial.removedAt === null && judgementOf(trial)?.phase === 'done')
    .flatMap(trial => {
      const one = comparable(trial);
      return one === null ? [] : [{ ...one, at: trial.startedAt }];
    });
  const outWh = record.days(station, FIRST_DATE, LAST_DATE).reduce((sum, d) => sum + d.outputMilliJ, 0) / MILLIJ_PER_WH;
  const { warranty, ratedWh } = of?.settings ?? {};
  const told =
    warranty === undefined
      ? null
      : { thresholdPct: warranty.thresholdPct, of: warranty.of ?? 'rated', ratedWh: ratedWh ?? null };
  const years = yearsOf(trials, outWh > 0 ? exactly(outWh) : null, told);
  return {
    station,
    fullCycles: years.fullCycles,
    points: years.points.map(point => ({ ...point, at: new Date(point.at).toISOString() })),
    trendPctAYear: years.trendPctAYear,
    warranty:
      warranty === undefined || years.warranty === null
        ? null
        : {
            thresholdPct: warranty.thresholdPct,
            of: warranty.of ?? 'rated',
            untilAt: warranty.until === undefined ? null : `${warranty.until}T00:00:00.000Z`,
            cycles: warranty.cycles ?? null,
            verdict: years.warranty,
          },
  };
}

/** Place as it was when the trial began: shown only where somebody chose to. */
export function placeOf(trial: KeptTrial): { latitudeDeg: number; longitudeDeg: number } | null {
  const { options } = askedOf(trial);
  return 'place' in options ? options.place : null;
}
