/**
 * One recording lived through, with or without the log before its start: what was said every 15 minutes from 30 minutes
 * on, ten minutes after every second of these (for the drift), and more often near the end until the warning was given.
 */
import { createRuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';
import type { Stretch } from '#energy/estimates/scoring/passages';
import { createReplay, type ReplayRow, type Told } from '#energy/estimates/scoring/replay';
import { WARN_MIN } from '#energy/estimates/scoring/warning';
import type { Case } from './manifest.ts';

const MINUTE_MS = 60_000;
const STEP_MS = 15 * MINUTE_MS;
const COMPANION_MS = 10 * MINUTE_MS;
const FIRST_MS = 30 * MINUTE_MS;
const LAST_MS = 5 * MINUTE_MS;
const WATCH_MS = 3 * MINUTE_MS;
/** The promised time is watched closely from here down to the warning. */
const WATCHED_MIN = 2 * WARN_MIN;

export interface Lived {
  case: Case;
  stretch: Stretch;
  /** Every 15 minutes, with the ticks the gauge had seen. */
  grid: (Told & { ticks: number })[];
  /** Pairs ten minutes apart. */
  pairs: [Told, Told][];
  /** All in order of time. */
  all: Told[];
}

const FLOOR_PCT = 10;

export const factsOf = (ratedWh: number, clearWm2: RuntimeFacts['clearWm2']): RuntimeFacts => ({
  ratedWh,
  floorPct: FLOOR_PCT,
  ceilingPct: 100,
  lowCutoffPct: 0,
  panelsRatedW: null,
  solarMaxW: null,
  clearWm2,
  // Written in local time as if it were universal.
  offsetMs: () => 0,
});

/** @param rows of the recording, in order @param clearWm2 light of a cloudless sky, where input is to be expected */
export function liveThrough(
  of: Case,
  rows: readonly ReplayRow[],
  withLog: boolean,
  clearWm2: RuntimeFacts['clearWm2'],
): Lived {
  const engine = createRuntimeEngine(of.ratedWh);
  const replay = createReplay(engine, factsOf(of.ratedWh, clearWm2), 1);
  const lived: Lived = { case: of, stretch: { startAt: of.startAt, endAt: of.floorAt }, grid: [], pairs: [], all: [] };
  const plan = planOf(of);
  let paired: Told | null = null;
  let warned = false;
  let watchAt = Number.POSITIVE_INFINITY;
  const tell = (at: number, kind: Planned['kind'] | 'watch') => {
    const told = replay.tell(at);
    lived.all.push(told);
    if (kind === 'grid') lived.grid.push({ ...told, ticks: engine.gauge.ticks() });
    if (kind === 'companion' && paired !== null) lived.pairs.push([paired, told]);
    paired = kind === 'grid' ? told : null;
    const promised = told.empty?.p10 ?? Number.POSITIVE_INFINITY;
    warned ||= promised <= WARN_MIN;
    watchAt = !warned && promised <= WATCHED_MIN ? at + WATCH_MS : Number.POSITIVE_INFINITY;
  };
  let next = 0;
  for (const row of rows) {
    if (!withLog && row.at < of.startAt) continue;
    for (;;) {
      const planned = plan[next];
      const plannedAt = planned?.at ?? Number.POSITIVE_INFINITY;
      if (row.at < Math.min(plannedAt, watchAt)) break;
      if (watchAt < plannedAt) tell(watchAt, 'watch');
      else {
        tell(plannedAt, planned!.kind);
        next++;
      }
    }
    if (row.at >= of.floorAt) break;
    replay.add(row);
  }
  return lived;
}

interface Planned {
  at: number;
  kind: 'grid' | 'companion';
}

function planOf({ startAt, floorAt }: Case): Planned[] {
  const plan: Planned[] = [];
  for (let i = 0, at = startAt + FIRST_MS; at <= floorAt - LAST_MS; i++, at += STEP_MS) {
    plan.push({ at, kind: 'grid' });
    if (i % 2 === 0) plan.push({ at: at + COMPANION_MS, kind: 'companion' });
  }
  return plan;
}
