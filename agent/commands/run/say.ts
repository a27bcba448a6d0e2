/** What the page is told: derive's values as messages of the live socket. Pure. */
import { BATTERY_PRIOR } from '#energy/estimates/battery-prior';
import type { Moments } from '#energy/estimates/rolling-projection';
import type { Reading } from '#kit';
import type { DayTotals, LiveMessage, WireProjection, WireStatus } from '#messages';
import type { ProjectionNow, StationFacts } from '../../derive/follow.ts';
import { encodeDay, encodeReading, toInstant } from '../../server/encode.ts';

const instantOrNull = (at: number | null) => (at === null ? null : toInstant(at));
/** Courses are drawn, not computed with: a tenth of a percent every quarter of an hour is finer than a pixel. */
const DRAWN_STEPS = 3;
/** The drawing looks no further ahead than this, ms. */
const DRAWN_AHEAD_MS = 36 * 3_600_000;

/** @param ageMs since it was read */
export const readingMessage = (reading: Reading, ageMs: number): LiveMessage => ({
  type: 'reading',
  ageMs,
  reading: encodeReading(reading),
});

export const tallyMessage = (
  station: string,
  today: DayTotals,
  lastHour: { inputWh: number; outputWh: number; stateOfChargeChangePct: number | null },
  nowMs: number,
): LiveMessage => ({ type: 'day', tally: { station, lastHour, today: encodeDay(today, nowMs) } });

/** Nothing is promised from a station that is not being read. */
const isSilent = (status: WireStatus | null) => status !== null && status.phase !== 'live' && status.phase !== 'typed';

export function projectionMessage(
  station: string,
  made: ProjectionNow,
  facts: StationFacts,
  status: WireStatus | null,
): LiveMessage {
  const silent = isSilent(status);
  const projection: WireProjection = {
    station,
    madeAt: toInstant(made.madeAt),
    toward: silent ? 'none' : made.toward,
    why: silent ? 'stale' : made.why,
    early: made.early,
    onMains: made.onMains,
    floorPct: facts.floorPct,
    ceilingPct: facts.ceilingPct,
    emptyAt: silent ? null : moments(made.emptyAt),
    stopsAt: silent ? null : moments(made.stopsAt),
    fullAt: silent ? null : moments(made.fullAt),
    leftWh: silent ? null : made.leftWh,
    quantiles: silent ? [] : made.quantiles.map(({ p, at }) => ({ p, at: instantOrNull(at) })),
    fan: silent ? null : fan(made),
    windows: made.windows,
    assumptions: {
      ratedWh: facts.ratedWh,
      idleW: BATTERY_PRIOR.idleW,
      conversion: BATTERY_PRIOR.conversion,
      chargeEfficiency: BATTERY_PRIOR.chargeEfficiency,
      sunUntilAt: instantOrNull(made.sunUntilAt),
    },
  };
  return { type: 'projection', projection };
}

const moments = (m: Moments | null) =>
  m === null ? null : { p10: toInstant(m.p10), p50: instantOrNull(m.p50), p90: instantOrNull(m.p90) };

function fan(made: ProjectionNow): WireProjection['fan'] {
  if (made.courses.length === 0) return null;
  const last = DRAWN_AHEAD_MS / made.stepMs;
  const column = (p: number) =>
    made.courses
      .find(course => Math.abs(course.p - p) < 1e-6)!
      .pct.filter((_, i) => i <= last && i % DRAWN_STEPS === 0)
      .map(pct => Math.round(pct * 10) / 10);
  return {
    startAt: toInstant(made.madeAt),
    stepMs: made.stepMs * DRAWN_STEPS,
    p5: column(0.05),
    p10: column(0.1),
    p25: column(0.25),
    p50: column(0.5),
    p75: column(0.75),
    p90: column(0.9),
    p95: column(0.95),
  };
}
