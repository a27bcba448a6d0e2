/**
 * Usable energy and conversion: from full to the station's own cut-off, or to a floor, under one steady load. Energy at
 * the outlets by the station's own watts; by an external meter where there is one, and then how far the own watts are off.
 *
 * It begins by itself when a load is on at full and nothing comes in, and ends when the outlets go off near empty. Limits
 * without a source are own judgement.
 */
import type { Ends, Spoiled, TrialAsked, TrialJudgement, Waits } from './asked.ts';
import { besideMeter } from './meter.ts';
import { meterSeen } from './meter-seen.ts';
import {
  inColumn,
  indexAt,
  isTold,
  lastTold,
  MINUTE_MS,
  meanOf,
  medianOf,
  outColumn,
  pctAt,
  valuesOf,
} from './samples.ts';
import { beforeGap, stood, waiting } from './stage.ts';
import { usableResult } from './usable-result.ts';
import { gapsSeen, INPUT_W, inputSeen, type Stretch, spoiled, stretchesWhere, temperatureSeen } from './watch.ts';

/** Less is no load. */
export const LOAD_LEAST_W = 5;
const LOAD_SURE_MS = 30_000;
/** Two percent less than full are still full for so long: what is lost meanwhile is the own draw alone. */
const STILL_FULL_MS = 30 * MINUTE_MS;
/** Off for this long, they are off. */
const OFF_MS = 60_000;
/** Nothing told for this long near empty: the station itself has gone off. */
const SILENT_MS = 5 * MINUTE_MS;
/** Above the told cut-off by this much they still stopped because it was empty: gauges jump near empty. */
const NEAR_EMPTY_PCT = 3;
/** The battery's voltage has collapsed: below this share of what it had in the middle. */
const COLLAPSED = 0.95;
const COLLAPSE_MOST_PCT = 15;

/** Index of the first and last sample of the discharge, and why it ended. */
export interface Discharge extends Stretch {
  readonly ends: Ends | null;
  readonly early: Spoiled | null;
}

/** Where it begins; what it waits for where it does not. */
function beginning(asked: TrialAsked<'usable'>): number | Waits {
  const { samples: s, options, startedAt } = asked;
  const first = indexAt(s.at, startedAt);
  if (first >= s.at.length) return 'readings';
  const out = outColumn(s);
  if (!isTold(s.pct)) return 'stateOfCharge';
  if (!isTold(out)) return 'outputPower';
  const input = inColumn(s);
  let fullAt = Number.NEGATIVE_INFINITY;
  const ready = (k: number) => {
    const pct = pctAt(s, k);
    if (pct >= options.fullPct) fullAt = s.at[k]!;
    // Some show less than full as soon as the charger is off.
    const full = pct >= options.fullPct || (pct >= options.fullPct - 2 && s.at[k]! - fullAt < STILL_FULL_MS);
    return full && out[k]! >= LOAD_LEAST_W && !(input[k]! > INPUT_W) && s.onMains[k] !== 1;
  };
  const found = stretchesWhere(s.at, first, s.at.length - 1, ready, LOAD_SURE_MS, asked.gapLimitMs);
  const stillFull = (a: number, b: number) => valuesOf(s.pct, a, b).every(pct => pct >= options.fullPct - 2);
  // A load that was tried and unplugged while still full does not count: the last such beginning does.
  let begin = found[0];
  for (const next of found.slice(1)) {
    if (!stillFull(begin!.from, next.from)) break;
    begin = next;
  }
  if (begin !== undefined) return begin.from;
  const last = s.at.length - 1;
  if (pctAt(s, last) < options.fullPct) return 'full';
  return input[last]! > INPUT_W || s.onMains[last] === 1 ? 'noInput' : 'load';
}

/** Whether outlets that stopped at `k` stopped because the battery was empty. */
function wasEmpty(asked: TrialAsked<'usable'>, begin: number, k: number): boolean {
  const { samples: s, options } = asked;
  const pct = lastTold(s.pct, k);
  if (pct <= Math.max(options.cutoffPct, 1) + NEAR_EMPTY_PCT) return true;
  if (pct > COLLAPSE_MOST_PCT || !isTold(s.batteryV)) return false;
  const middle = medianOf(valuesOf(s.batteryV, begin, k));
  return lastTold(s.batteryV, k) < COLLAPSED * middle;
}

/** Where it ends; `to` is the last sample with load. */
function ending(asked: TrialAsked<'usable'>, begin: number): Discharge {
  const { samples: s, options, nowAt, endedAt } = asked;
  const out = outColumn(s);
  const last = endedAt === null ? s.at.length - 1 : Math.max(begin, indexAt(s.at, endedAt + 1) - 1);
  const { floorPct } = options;
  if (floorPct !== null)
    for (let k = begin; k <= last; k++)
      if (s.pct[k]! <= floorPct) return { from: begin, to: k, ends: 'floor', early: null };
  const off = (k: number) => out[k]! < LOAD_LEAST_W / 2 || s.acOn[k] === 0;
  for (const of of stretchesWhere(s.at, begin, last, off, OFF_MS, asked.gapLimitMs)) {
    const to = Math.max(begin, of.from - 1);
    if (wasEmpty(asked, begin, to)) return { from: begin, to, ends: 'cutOff', early: null };
    if (s.acOn[of.from] === 0)
      return {
        from: begin,
        to,
        ends: 'spoiled',
        early: spoiled('switchedOffEarly', s.at[of.from]!, s.at[of.to]!, 'spoils', lastTold(s.pct, to), '%'),
      };
  }
  const until = endedAt ?? nowAt;
  const silent = until - s.at[last]! > Math.max(SILENT_MS, asked.gapLimitMs);
  if (silent && wasEmpty(asked, begin, last)) return { from: begin, to: last, ends: 'cutOff', early: null };
  return { from: begin, to: last, ends: null, early: null };
}

/** Share of the delivered energy that may have come in, or gone elsewhere, before nothing can be concluded. */
const INPUT_SHARE = 0.003;
const OTHER_SHARE = 0.02;

function loadSeen(asked: TrialAsked<'usable'>, { from, to }: Discharge): Spoiled[] {
  const { samples: s } = asked;
  const out = outColumn(s);
  const level = medianOf(valuesOf(out, from, to));
  const wholeMs = Math.max(1, s.at[to]! - s.at[from]!);
  const found: Spoiled[] = [];
  const gone = stretchesWhere(s.at, from, to, k => out[k]! < 0.3 * level, MINUTE_MS / 2, asked.gapLimitMs);
  for (const of of gone) {
    const ms = s.at[Math.min(of.to + 1, to)]! - s.at[of.from]!;
    const consequence = ms > 2 * MINUTE_MS && ms > 0.005 * wholeMs ? 'spoils' : 'noted';
    found.push(spoiled('loadUnplugged', s.at[of.from]!, s.at[of.to]!, consequence, ms / MINUTE_MS, 'min'));
  }
  const more = (k: number) => out[k]! > 1.15 * level + 10 || s.dcOutputW[k]! > LOAD_LEAST_W + 0.05 * level;
  const others = stretchesWhere(s.at, from, to, more, MINUTE_MS / 2, MINUTE_MS).map(of => {
    let wh = 0;
    for (let k = of.from; k < Math.min(of.to + 1, to); k++)
      wh += ((Math.max(0, out[k]! - level) + (s.dcOutputW[k]! || 0)) * (s.at[k + 1]! - s.at[k]!)) / 3_600_000 || 0;
    return { ...of, wh };
  });
  const otherWh = others.reduce((sum, of) => sum + of.wh, 0);
  const spoils = otherWh > (OTHER_SHARE * level * wholeMs) / 3_600_000;
  for (const of of others)
    found.push(spoiled('otherLoad', s.at[of.from]!, s.at[of.to]!, spoils ? 'spoils' : 'noted', of.wh, 'Wh'));
  return [...found, ...unsteadySeen(asked, from, to, level)];
}

/** Means of ten minutes off the level by more than 15 % for more than a tenth of the time. */
function unsteadySeen(asked: TrialAsked<'usable'>, from: number, to: number, level: number): Spoiled[] {
  const { samples: s } = asked;
  const out = outColumn(s);
  const blockMs = 10 * MINUTE_MS;
  let [blocks, off, firstAt, lastAt] = [0, 0, 0, 0];
  for (let k = from; k < to; ) {
    const end = Math.min(to, indexAt(s.at, s.at[k]! + blockMs));
    const mean = meanOf(valuesOf(out, k, end));
    blocks++;
    if (Math.abs(mean - level) > 0.15 * level + 2) {
      off++;
      if (firstAt === 0) firstAt = s.at[k]!;
      lastAt = s.at[end]!;
    }
    k = Math.max(end, k + 1);
  }
  return blocks >= 6 && off > blocks / 10
    ? [spoiled('loadUnsteady', firstAt, lastAt, 'spoils', (100 * off) / blocks, '%')]
    : [];
}

function spoilersOf(asked: TrialAsked<'usable'>, discharge: Discharge): Spoiled[] {
  const { samples: s, options, gapLimitMs } = asked;
  const { from, to, early } = discharge;
  const level = medianOf(valuesOf(outColumn(s), from, to));
  const roughlyWh = (level * (s.at[to]! - s.at[from]!)) / 3_600_000;
  return [
    ...(early === null ? [] : [early]),
    ...inputSeen(s, from, to, roughlyWh, INPUT_SHARE),
    ...loadSeen(asked, discharge),
    ...temperatureSeen(s, from, to, options),
    ...gapsSeen(s.at, from, to, asked.gapLimitMs),
    ...trailingGap(asked, discharge),
    ...meterSeen(
      options.meter,
      besideMeter({ ...s, column: outColumn(s), from, to, gapLimitMs }, asked.meter, options.meter),
      s.at[from]!,
      s.at[to]!,
      discharge.ends === null && asked.endedAt === null,
    ),
  ].sort((a, b) => a.at - b.at);
}

/** Nothing told since, and it was not empty: the reading side was lost. */
function trailingGap(asked: TrialAsked<'usable'>, { to, ends }: Discharge): Spoiled[] {
  if (ends !== null) return [];
  const { samples: s } = asked;
  const until = asked.endedAt ?? asked.nowAt;
  return gapsSeen(Float64Array.of(s.at[to]!, until), 0, 1, asked.gapLimitMs);
}

function progressOf(asked: TrialAsked<'usable'>, { from, to }: Discharge) {
  const { samples: s, options } = asked;
  const end = options.floorPct ?? options.cutoffPct;
  const share = (options.fullPct - lastTold(s.pct, to)) / Math.max(1, options.fullPct - end);
  const ms = s.at[to]! - s.at[from]!;
  return { share, leftMs: share > 0.03 ? (ms * (1 - share)) / share : null };
}

/** Judges a usable-energy trial. */
export function judgeUsable(asked: TrialAsked<'usable'>): TrialJudgement {
  const begin = beginning(asked);
  if (typeof begin === 'string') return waiting(asked, begin);
  const discharge = ending(asked, begin);
  const { samples: s } = asked;
  const spoiledBy = spoilersOf(asked, discharge);
  return stood(asked, {
    beganAt: s.at[begin]!,
    endedAt: discharge.ends === null ? null : s.at[discharge.to]!,
    endsBecause: discharge.ends,
    spoiledBy,
    progress: progressOf(asked, discharge),
    result: () => usableResult(asked, { from: begin, to: beforeGap(s.at, discharge.to, spoiledBy) }),
  });
}
