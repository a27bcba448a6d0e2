/**
 * The yields of a day on record. Energy and irradiation are of the same recorded time; where nothing measures the light
 * on the panels, the reference is a cloudless sky, so the ratio of a cloudy day says more of the clouds than the panels.
 */
import { dayYields, type MinuteSeen } from '#energy/day-yields';
import { MILLIJ_PER_WH } from '#energy/integrate';
import { performanceRatio, yieldH } from '#energy/yields';
import type { DayTotals, Fact, RecordQueries, Series } from '#messages';
import { isGivenThrough, planesFrom, spotPlaneOf } from '../derive/standing.ts';
import { type DayFacts, factsAt } from './ledger-facts.ts';

const MINUTE_MS = 60_000;
/** Less sun than this gives no ratio worth a number. */
const LEAST_REFERENCE_H = 0.1;
/** State of charge this near its ceiling, or power this near the ports' limit, counts as held back. */
const FULL_WITHIN_PCT = 0.5;
const AT_LIMIT = 0.98;

export interface LedgerYields {
  clearSkyWh: number | null;
  finalYieldKwhPerKw: number | null;
  referenceYieldKwhPerKw: number | null;
  performanceRatio: number | null;
  /** Share of the reference yield that fell while the battery was full or a port at its limit, %. */
  heldBackPct: number | null;
  referenceFrom: 'measured' | 'clear sky' | null;
}

/** @param facts of the station, dated */
export function ledgerYields(
  record: Pick<RecordQueries, 'series'>,
  station: string,
  facts: readonly Fact[],
  day: DayTotals,
): LedgerYields {
  const carried = planesFrom(facts);
  const allDay = isGivenThrough(carried, day.startMs, day.endMs) ? spotPlaneOf(carried, day.startMs) : null;
  const now = factsAt(facts, (day.startMs + day.endMs) / 2, allDay);
  const finalH = now.ratedW === null ? null : yieldH(day.solarMilliJ / MILLIJ_PER_WH, now.ratedW);
  if (now.panels === null || now.place === null) {
    return {
      clearSkyWh: null,
      finalYieldKwhPerKw: finalH,
      referenceYieldKwhPerKw: null,
      performanceRatio: null,
      heldBackPct: null,
      referenceFrom: null,
    };
  }
  const minutes = minutesOf(record, station, day, now);
  const found = dayYields(day.startMs, minutes, now.place, now.panels, at => spotPlaneOf(carried, at));
  // Minutes are coarser than gaps: what they show beyond the covered time is taken off evenly.
  const shownMs = minutes.filter(minute => minute.recorded).length * MINUTE_MS;
  const referenceH = shownMs === 0 ? 0 : found.referenceH * Math.min(1, day.coveredMs / shownMs);
  return {
    clearSkyWh: found.clearSkyWh,
    finalYieldKwhPerKw: finalH,
    referenceYieldKwhPerKw: referenceH,
    performanceRatio: referenceH < LEAST_REFERENCE_H ? null : performanceRatio(finalH!, referenceH),
    heldBackPct: found.referenceH > 0 ? (100 * found.heldBackH) / found.referenceH : null,
    referenceFrom: found.measured ? 'measured' : 'clear sky',
  };
}

/** The day's minutes from the record's minute rollups. */
function minutesOf(
  record: Pick<RecordQueries, 'series'>,
  station: string,
  day: DayTotals,
  facts: DayFacts,
): MinuteSeen[] {
  const count = Math.ceil((day.endMs - day.startMs) / MINUTE_MS);
  const series = record.series({
    station,
    quantities: ['inputPowerW', 'stateOfChargePct', 'solarPowerW', 'planeOfArrayWm2'],
    fromMs: day.startMs,
    toMs: day.endMs,
    // A width is chosen that fits: one point more, for days that begin within a minute.
    points: count + 1,
  });
  const known = valuesBy(series, day.startMs, count);
  const seen = bridged(
    Array.from({ length: count }, (_, i) => known.inputPowerW[i] !== null || known.stateOfChargePct[i] !== null),
  );
  return seen.map((recorded, i) => ({
    recorded,
    heldBack:
      (known.stateOfChargePct[i] ?? 0) >= facts.ceilingPct - FULL_WITHIN_PCT ||
      (facts.portsMaxW !== null && (known.solarPowerW[i] ?? 0) >= AT_LIMIT * facts.portsMaxW),
    planeWm2: known.planeOfArrayWm2[i] ?? null,
  }));
}

type Known = Record<'inputPowerW' | 'stateOfChargePct' | 'solarPowerW' | 'planeOfArrayWm2', (number | null)[]>;

function valuesBy(series: Series, startMs: number, count: number): Known {
  const offset = Math.floor((startMs - series.startMs) / series.stepMs);
  const column = (key: keyof Known) => {
    const mean = series.columns[key]?.mean ?? [];
    return Array.from({ length: count }, (_, i) => mean[i + offset] ?? null);
  };
  return {
    inputPowerW: column('inputPowerW'),
    stateOfChargePct: column('stateOfChargePct'),
    solarPowerW: column('solarPowerW'),
    planeOfArrayWm2: column('planeOfArrayWm2'),
  };
}

/** Minutes between two seen ones count as seen where that is the source's own pace: up to 2.5 times the usual distance. */
function bridged(seen: readonly boolean[]): boolean[] {
  const at = seen.flatMap((is, i) => (is ? i : []));
  const distances = at.slice(1).map((i, k) => i - at[k]!);
  const usual = [...distances].sort((a, b) => a - b)[Math.floor(distances.length / 2)] ?? 1;
  const covered = [...seen];
  for (const [k, distance] of distances.entries()) if (distance <= 2.5 * usual) covered.fill(true, at[k]!, at[k + 1]!);
  return covered;
}
