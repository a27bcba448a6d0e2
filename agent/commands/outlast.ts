/**
 * `wattkeep outlast --recording FILE`: a recording lived through again, what would have been said on the way, and how
 * right that was. A projection uses only the rows before it; the whole recording is read, but only to tell what came true.
 */

import { zoneOffsetMs } from '#energy/civil-day';
import type { TimeRange } from '#energy/estimates/range-repair';
import { createRuntimeEngine, type RuntimeFacts } from '#energy/estimates/runtime/engine';
import { fillScore, scoreBy, WAYS, type Way } from '#energy/estimates/scoring/outcome';
import { createPassages } from '#energy/estimates/scoring/passages';
import { createReplay, type Replay, type ReplayRow, type Told } from '#energy/estimates/scoring/replay';
import { instantWriter } from '../exchange/instants.ts';
import type { Invocation } from './invocation.ts';
import { factsAt, factsOfSettings } from './ledger-facts.ts';
import { rounded, usage } from './numbers.ts';
import { type OutlastOptions, outlastOptions } from './outlast-options.ts';
import { OUTLAST_HELP, outlastLines, replaying } from './outlast-words.ts';
import { isDark, lightOver } from './recording-light.ts';
import { type InputFacts, replayRows } from './replay-rows.ts';
import { clock } from './surroundings.ts';

const MINUTE_MS = 60_000;
/** Often enough for what is learned from foretelling; earlier recordings are not reported. */
const EARLIER_EVERY_MS = 5 * MINUTE_MS;
const SEED = 1;
/** Said on the way once it takes longer, and then as often. */
const SLOW_MS = 4000;

export async function outlast({ argv }: Invocation): Promise<number> {
  const options = outlastOptions(argv);
  if (options === null) {
    process.stdout.write(OUTLAST_HELP);
    return 0;
  }
  const { facts, input } = knownOf(options);
  const earlier: ReplayRow[][] = [];
  for (const file of options.after) earlier.push(await replayRows(file, input));
  const rows = await replayRows(options.recording, input);
  refuseOverlap(options, [...earlier, rows]);

  const replay = createReplay(createRuntimeEngine(options.ratedWh), facts, SEED);
  for (const before of earlier) liveThrough(replay, before, EARLIER_EVERY_MS);
  const told = liveThrough(replay, rows, options.everyMs);
  const passages = createPassages(facts.floorPct, facts.ceilingPct);
  for (const row of rows) passages.add(row);
  const discharges = passages.discharges();

  const { projection, stated, ...plain } = Object.fromEntries(
    WAYS.map(way => [way, scoreBy(way, told, discharges)]),
  ) as Record<Way, ReturnType<typeof scoreBy>>;
  const score = {
    ...projection,
    fill: fillScore(told, passages.charges()),
    stated: rows.some(row => row.statedMin !== null) ? stated : null,
    ...plain,
  };
  process.stdout.write(
    options.json
      ? `${JSON.stringify({ projections: told.map(forPrograms(options.zone)), score: rounded(score) })}\n`
      : outlastLines(options, told, score),
  );
  return 0;
}

function knownOf(options: OutlastOptions): { facts: RuntimeFacts; input: InputFacts } {
  const { station, zone, ratedWh, floorPct } = options;
  const clearWm2 = lightOver(station, zone);
  const said = station === null ? null : factsAt(factsOfSettings(station), 0);
  const panelsRatedW = said?.ratedW ?? null;
  return {
    facts: {
      ratedWh,
      floorPct,
      ceilingPct: said?.ceilingPct ?? 100,
      lowCutoffPct: station?.lowCutoffPct ?? 0,
      panelsRatedW,
      solarMaxW: said?.portsMaxW ?? null,
      clearWm2,
      offsetMs: atMs => zoneOffsetMs(atMs, zone),
    },
    input: { source: options.input, panelsRatedW, isDark: atMs => isDark(clearWm2, atMs) },
  };
}

/** Learning goes forward in time only. */
function refuseOverlap({ after, recording }: OutlastOptions, files: readonly ReplayRow[][]): void {
  const names = [...after, recording];
  let lastAt = Number.NEGATIVE_INFINITY;
  for (const [i, rows] of files.entries()) {
    if (rows.length > 0 && rows[0]!.at < lastAt)
      throw usage(
        `${names[i]} begins before ${names[i - 1]} ends.`,
        'Give earlier recordings with --after, oldest first.',
      );
    lastAt = rows.at(-1)?.at ?? lastAt;
  }
}

/** Tells at even steps from the first row with a state of charge to the last row. */
function liveThrough(replay: Replay, rows: readonly ReplayRow[], everyMs: number): Told[] {
  const told: Told[] = [];
  let nextAt = rows.find(row => row.stateOfChargePct !== null)?.at ?? Number.POSITIVE_INFINITY;
  let saidMs = clock.monoMs();
  for (const [i, row] of rows.entries()) {
    for (; nextAt <= row.at; nextAt += everyMs) {
      told.push(replay.tell(nextAt));
      if (clock.monoMs() - saidMs < SLOW_MS) continue;
      saidMs = clock.monoMs();
      console.error(replaying(i / rows.length));
    }
    replay.add(row);
  }
  return told;
}

const forPrograms = (zone: string) => {
  const write = instantWriter(zone);
  const iso = (atMs: number) => (Number.isFinite(atMs) ? write(Math.round(atMs / 1000) * 1000) : null);
  return ({ at, why, early, doubts, empty, full }: Told) => {
    const range = (r: TimeRange | null) =>
      r && {
        p10: iso(at + r.p10 * MINUTE_MS),
        p50: iso(at + r.p50 * MINUTE_MS),
        p90: iso(at + r.p90 * MINUTE_MS),
      };
    return { at: write(at), emptyAt: range(empty), fullAt: range(full), why, early, doubts };
  };
};
