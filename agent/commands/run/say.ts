/** What the page is told: derive's values as messages of the live socket. Pure. */
import type { Reading } from '#kit';
import type { DayTotals, LiveMessage, WireProjection, WireStatus } from '#messages';
import type { StationFacts } from '../../derive/facts.ts';
import type { ProjectionNow } from '../../derive/follow.ts';
import type { Moments } from '../../derive/outlook.ts';
import { encodeDay, encodeReading, toInstant } from '../../server/encode.ts';

const instantOrNull = (at: number | null) => (at === null ? null : toInstant(at));

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
export const isSilent = (status: WireStatus | null) =>
  status !== null && status.phase !== 'live' && status.phase !== 'typed';

/** @param silent nothing may be promised: it is not being read, or what is known of what is ahead is too old */
export function projectionMessage(
  station: string,
  made: ProjectionNow,
  facts: StationFacts,
  silent: boolean,
): LiveMessage {
  const projection: WireProjection = {
    station,
    madeAt: toInstant(made.madeAt),
    toward: silent ? 'none' : made.toward,
    why: silent ? 'stale' : made.why,
    early: made.early,
    doubts: [...made.doubts],
    onMains: made.onMains,
    floorPct: facts.floorPct,
    ceilingPct: facts.ceilingPct,
    emptyAt: silent ? null : moments(made.emptyAt),
    stopsAt: silent ? null : moments(made.stopsAt),
    fullAt: silent ? null : moments(made.fullAt),
    byLabel: silent ? null : moments(made.byLabel),
    leftWh: silent ? null : made.leftWh,
    quantiles: silent ? [] : made.quantiles.map(({ p, at }) => ({ p, at: instantOrNull(at) })),
    fan: silent ? null : fan(made),
    windows: made.windows,
    learned: made.learned,
    quiet: silent ? [] : made.quiet.map(({ sinceAt, ...load }) => ({ ...load, sinceAt: toInstant(sinceAt) })),
    score: made.score,
    assumptions: {
      ratedWh: facts.ratedWh,
      sunUntilAt: instantOrNull(made.sunUntilAt),
      sky: made.sky,
    },
  };
  return { type: 'projection', projection };
}

const moments = (m: Moments | null) =>
  m === null ? null : { p10: toInstant(m.p10), p50: instantOrNull(m.p50), p90: instantOrNull(m.p90) };

function fan({ fan: made, madeAt }: ProjectionNow): WireProjection['fan'] {
  if (made === null) return null;
  const [p5, p10, p25, p50, p75, p90, p95] = made.columns as [number[], ...number[][]];
  return {
    startAt: toInstant(madeAt),
    stepMs: made.stepMs,
    p5,
    p10: p10!,
    p25: p25!,
    p50: p50!,
    p75: p75!,
    p90: p90!,
    p95: p95!,
  };
}
