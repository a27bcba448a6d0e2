/**
 * From what the agent holds (epoch ms, mJ) to what travels (ISO 8601 in UTC, Wh). Pure, and the only place where the
 * two meet.
 */

import type { Reading } from '#kit';
import type {
  DayTotals,
  Outage,
  OutagesAnswer,
  SavedState,
  Series,
  SeriesAnswer,
  WireDay,
  WireHealth,
  WireReading,
} from '#messages';

/** 1 Wh = 3600 J. */
const MILLIJ_PER_WH = 3_600_000;

export const toInstant = (epochMs: number): string => new Date(epochMs).toISOString();
const toInstantOrNull = (epochMs: number | null): string | null => (epochMs === null ? null : toInstant(epochMs));
export const toWh = (milliJ: number): number => milliJ / MILLIJ_PER_WH;

export function encodeReading(r: Reading): WireReading {
  const wire: WireReading = {
    station: r.station,
    session: r.session,
    seq: r.seq,
    at: toInstant(r.at),
    clock: r.clock,
    quantities: { ...r.quantities } as Record<string, number | null>,
    states: { ...r.states },
    quality: r.quality,
    reasons: { ...r.reasons } as Record<string, string>,
  };
  if (r.typed) wire.typed = true;
  return wire;
}

/**
 * One civil day. Coverage is the share recorded of the part of the day that has passed.
 *
 * @param nowMs UTC epoch ms; a day that is still running is measured up to here
 */
export function encodeDay(d: DayTotals, nowMs: number): WireDay {
  const passedMs = Math.min(d.endMs, Math.max(nowMs, d.startMs)) - d.startMs;
  return {
    date: d.date,
    zone: d.zone,
    solarWh: toWh(d.solarMilliJ),
    inputWh: toWh(d.inputMilliJ),
    outputWh: toWh(d.outputMilliJ),
    coveragePct: passedMs > 0 ? Math.min(100, (100 * d.coveredMs) / passedMs) : 0,
    coveredMs: d.coveredMs,
    gapMs: d.gapMs,
    solarPeakW: d.solarPeakW,
    stateOfChargeMinPct: d.stateOfChargeMinPct,
    stateOfChargeMaxPct: d.stateOfChargeMaxPct,
  };
}

export function encodeSeries(station: string, s: Series): SeriesAnswer {
  const columns: SeriesAnswer['columns'] = {};
  for (const [key, column] of Object.entries(s.columns)) if (column !== undefined) columns[key] = column;
  return { station, startAt: toInstant(s.startMs), stepMs: s.stepMs, count: s.count, columns };
}

export function encodeOutages(outages: readonly Outage[]): OutagesAnswer {
  return {
    outages: outages.map(o => ({
      startedAt: toInstant(o.startedAt),
      endedAt: toInstantOrNull(o.endedAt),
      startPct: o.startPct,
      endPct: o.endPct,
      lowestPct: o.lowestPct,
      outputWh: toWh(o.outputMilliJ),
      inputWh: toWh(o.inputMilliJ),
      promised:
        o.promisedAt === null || o.promisedP10At === null
          ? null
          : {
              madeAt: toInstant(o.promisedAt),
              p10: toInstant(o.promisedP10At),
              p50: toInstantOrNull(o.promisedP50At),
            },
      floorAt: toInstantOrNull(o.floorAt),
    })),
  };
}

export function encodeSaved(s: SavedState): WireHealth['saved'] {
  return {
    lastSavedAt: toInstantOrNull(s.lastSavedAt),
    commitIntervalMs: s.commitIntervalMs,
    trouble: s.trouble,
    troubleSinceAt: toInstantOrNull(s.troubleSinceAt),
    logBytes: s.logBytes,
  };
}
