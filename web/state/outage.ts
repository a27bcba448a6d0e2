/** An outage as the page keeps it, and which one is told now: one that goes on, or the last one until it is put away. */
import type { OutagesAnswer } from '#messages';

/** Instants epoch ms. */
export interface Outage {
  startedAt: number;
  endedAt: number | null;
  startPct: number | null;
  endPct: number | null;
  lowestPct: number | null;
  outputWh: number;
  inputWh: number;
  promised: { madeAt: number; p10: number; p50: number | null } | null;
  floorAt: number | null;
}

const instantOrNull = (iso: string | null): number | null => (iso === null ? null : Date.parse(iso));

export const outageFrom = (wire: OutagesAnswer['outages'][number]): Outage => ({
  ...wire,
  startedAt: Date.parse(wire.startedAt),
  endedAt: instantOrNull(wire.endedAt),
  promised:
    wire.promised === null
      ? null
      : {
          madeAt: Date.parse(wire.promised.madeAt),
          p10: Date.parse(wire.promised.p10),
          p50: instantOrNull(wire.promised.p50),
        },
  floorAt: instantOrNull(wire.floorAt),
});

/** A flicker is listed in Outlast, and nobody is stopped by it. */
const WORTH_TELLING_MS = 120_000;

/** @param putAway when the newest one that was put away began, as it was kept */
export function outageToTell(outages: readonly Outage[], putAway: string | null): Outage | null {
  const last = outages.findLast(o => o.endedAt === null || o.endedAt - o.startedAt >= WORTH_TELLING_MS) ?? null;
  if (last === null || last.endedAt === null) return last;
  return putAway !== null && last.startedAt <= Number(putAway) ? null : last;
}
