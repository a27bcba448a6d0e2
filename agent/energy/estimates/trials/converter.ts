/**
 * The converter's curve: a few loads of different size one after another, and what the battery's side gives for each, by
 * battery volts times amperes, else by percents from tick to tick. It ends by itself at the moment at which the last of
 * the loads that were wanted has stood long enough. Limits without a source are own judgement.
 */
import type { Spoiled, TrialAsked, TrialJudgement, Waits } from './asked.ts';
import { converterResult } from './converter-result.ts';
import { perPercent } from './percent-power.ts';
import { coveredMs, type LoadHeld, plateausOf } from './plateaus.ts';
import { bySensors, HOUR_MS, inColumn, indexAt, isTold, MINUTE_MS, outColumn, pctToldAt, valuesOf } from './samples.ts';
import { stood, waiting } from './stage.ts';
import { passed, ticksOf } from './ticks.ts';
import { gapsSeen, INPUT_W, inputSeen, spoiled, stretchesWhere, temperatureSeen } from './watch.ts';

const LOAD_LEAST_W = 5;
const LOAD_SURE_MS = 30_000;
/** A load stands so long by the battery's sensors. */
const SENSORS_MS = 8 * MINUTE_MS;
/** A gap that does not end a load's time, where the load is the same on both sides. */
const BRIDGED_MS = 2 * MINUTE_MS;
/** By percents, so many must have ticked away, and it must have lasted a little. */
const BY_TICKS_MS = 3 * MINUTE_MS;
const TICKS_LEAST = 5;
/** Loads nearer to each other than this are one. */
const APART_SHARE = 0.15;
const APART_W = 8;
const OFF_FOR_GOOD_MS = 10 * MINUTE_MS;
/** A long stretch without any steady load: nothing to be had from what is plugged in. */
const UNSTEADY_MS = 60 * MINUTE_MS;

type Asked = TrialAsked<'converter'>;

function beginning(asked: Asked): number | Waits {
  const { samples: s, startedAt, options } = asked;
  const first = indexAt(s.at, startedAt);
  const last = s.at.length - 1;
  if (first > last) return 'readings';
  const out = outColumn(s);
  if (!isTold(out)) return 'outputPower';
  if (!bySensors(asked.samples) && (!isTold(s.pct) || perPercent(options) === null)) return 'batteryPower';
  const input = inColumn(s);
  const ready = (k: number) => out[k]! >= LOAD_LEAST_W && !(input[k]! > INPUT_W);
  const found = stretchesWhere(s.at, first, last, ready, LOAD_SURE_MS, asked.gapLimitMs)[0];
  if (found !== undefined) return found.from;
  return input[last]! > INPUT_W ? 'noInput' : 'load';
}

const alike = (a: LoadHeld, b: LoadHeld): boolean =>
  Math.abs(a.meanW - b.meanW) < Math.max(APART_W, APART_SHARE * a.meanW);

/** Of both sides alike only what was read is meant; percents go on while nobody reads, and what was plugged in then is not known. */
const bridgedMs = ({ samples }: Asked): number => (bySensors(samples) ? BRIDGED_MS : 0);

/** A load is plugged in that has not stood long enough. */
function stands(asked: Asked, from: number, to: number, counted: readonly LoadHeld[]): boolean {
  const { samples: s, gapLimitMs } = asked;
  const now = plateausOf(s.at, outColumn(s), from, to, 0, gapLimitMs, bridgedMs(asked)).at(-1);
  if (now === undefined || now.to < to || now.meanW < LOAD_LEAST_W) return false;
  return !counted.some(load => alike(load, { ...now, ticks: [] }));
}

/** Loads that stood long enough, in order. */
function loadsStood(asked: Asked, from: number, to: number): LoadHeld[] {
  const { samples: s } = asked;
  const sensors = bySensors(asked.samples);
  const leastMs = sensors ? SENSORS_MS : BY_TICKS_MS;
  return plateausOf(s.at, outColumn(s), from, to, leastMs, asked.gapLimitMs, bridgedMs(asked))
    .filter(plateau => plateau.meanW >= LOAD_LEAST_W)
    .map(plateau => ({ ...plateau, ticks: passed(ticksOf(s.at, s.pct, plateau.from, plateau.to), -1) }))
    .filter(plateau => sensors || plateau.ticks.length >= TICKS_LEAST);
}

/** Each size once: the longest of it. */
function oneOfEach(loads: readonly LoadHeld[]): LoadHeld[] {
  const kept: LoadHeld[] = [];
  for (const load of loads) {
    const same = kept.findIndex(k => alike(k, load));
    if (same < 0) kept.push(load);
    else if (load.to - load.from > kept[same]!.to - kept[same]!.from) kept[same] = load;
  }
  return kept;
}

/** The sample at which the last size that was wanted had stood long enough; what comes later changes nothing of it. */
function doneAt(asked: Asked, loads: readonly LoadHeld[]): number | null {
  const { samples: s, options } = asked;
  const sizes: LoadHeld[] = [];
  for (const load of loads) if (!sizes.some(k => alike(k, load))) sizes.push(load);
  const last = sizes[options.loads - 1];
  if (last === undefined) return null;
  if (!bySensors(asked.samples)) return Math.min(last.to, indexAt(s.at, last.ticks[TICKS_LEAST - 1]!.at));
  let end = last.from;
  for (let ms = 0; end < last.to && ms < SENSORS_MS; end++) ms += coveredMs(s.at, end, end + 1, asked.gapLimitMs);
  return end;
}

/** Outlets may be off while plugs are changed; off for good they end it too early. */
function switchedOff(asked: Asked, from: number, to: number): Spoiled[] {
  const { samples: s } = asked;
  return stretchesWhere(s.at, from, to, k => s.acOn[k] === 0, MINUTE_MS, MINUTE_MS).map(of => {
    const forGood = s.at[of.to]! - s.at[of.from]! > OFF_FOR_GOOD_MS;
    return spoiled(
      'switchedOffEarly',
      s.at[of.from]!,
      s.at[of.to]!,
      forGood ? 'spoils' : 'noted',
      pctToldAt(s, of.from),
      '%',
    );
  });
}

function spoilersOf(asked: Asked, from: number, to: number, loads: readonly LoadHeld[]): Spoiled[] {
  const { samples: s, options } = asked;
  const out = outColumn(s);
  let wh = 0;
  for (const w of valuesOf(out, from, to)) wh += w;
  wh *= (s.at[to]! - s.at[from]!) / HOUR_MS / Math.max(1, to - from + 1);
  const dc = stretchesWhere(s.at, from, to, k => s.dcOutputW[k]! > LOAD_LEAST_W, MINUTE_MS / 2, MINUTE_MS).map(of =>
    spoiled('otherLoad', s.at[of.from]!, s.at[of.to]!, 'spoils', s.dcOutputW[of.from]!, 'W'),
  );
  const lastEnd = loads.reduce((at, load) => Math.max(at, s.at[load.to]!), s.at[from]!);
  const sinceMs = s.at[to]! - lastEnd;
  const unsteady =
    bySensors(asked.samples) && sinceMs > UNSTEADY_MS && out[to]! >= LOAD_LEAST_W
      ? [spoiled('loadUnsteady', lastEnd, s.at[to]!, 'spoils', sinceMs / MINUTE_MS, 'min')]
      : [];
  const until = asked.endedAt ?? asked.nowAt;
  const trailing =
    s.at.length - 1 === to ? gapsSeen(Float64Array.of(s.at[to]!, until), 0, 1, asked.gapLimitMs, HOUR_MS) : [];
  return [
    ...switchedOff(asked, from, to),
    ...dc,
    ...unsteady,
    ...inputSeen(s, from, to, wh, 0.003),
    ...temperatureSeen(s, from, to, options),
    // Loads are judged one by one, of what was read: a gap costs time, and no range is wider for it.
    ...gapsSeen(s.at, from, to, asked.gapLimitMs, HOUR_MS).map(gap =>
      gap.consequence === 'widens' ? { ...gap, consequence: 'noted' as const } : gap,
    ),
    ...trailing,
  ].sort((a, b) => a.at - b.at);
}

/** Judges a converter trial. */
export function judgeConverter(asked: Asked): TrialJudgement {
  const from = beginning(asked);
  if (typeof from === 'string') return waiting(asked, from);
  const { samples: s, options, endedAt } = asked;
  const last = endedAt === null ? s.at.length - 1 : Math.max(from, indexAt(s.at, endedAt + 1) - 1);
  const stoodSo = loadsStood(asked, from, last);
  const all = oneOfEach(stoodSo);
  const done = doneAt(asked, stoodSo);
  const to = done ?? last;
  const loads = done === null ? all : oneOfEach(loadsStood(asked, from, to));
  return stood(asked, {
    beganAt: s.at[from]!,
    endedAt: done === null ? null : s.at[done]!,
    endsBecause: done === null ? null : 'loadsDone',
    waitsFor: done === null && stands(asked, from, to, all) ? 'loadStands' : 'moreLoads',
    spoiledBy: spoilersOf(asked, from, to, loads),
    progress: { share: Math.min(1, all.length / options.loads), count: all.length, wanted: options.loads },
    result: () => converterResult(asked, loads),
    endsByOwner: loads.length >= 3,
  });
}
