/**
 * The station's own draw: outlets on, nothing connected, watts from the percents lost, timed from tick to tick. It ends by
 * itself at the tick at which the range is narrow enough. Limits without a source are own judgement.
 */
import type { Ends, OwnDrawOptions, Spoiled, TrialAsked, TrialJudgement, TrialResult, Waits } from './asked.ts';
import { combined } from './coverage.ts';
import { hourCurve } from './curves.ts';
import { figureOf } from './figure.ts';
import { type PercentPower, perPercent, tickToTick, wholePercents } from './percent-power.ts';
import { HOUR_MS, inColumn, indexAt, isTold, MINUTE_MS, meanOf, pctToldAt, valuesOf } from './samples.ts';
import { beforeGap, stood, waiting } from './stage.ts';
import { passed, type Tick, ticksOf } from './ticks.ts';
import { gapsSeen, INPUT_W, inputSeen, spoiled, stretchesWhere, temperatureSeen } from './watch.ts';

/** More is a load; less is not told by many stations. */
const NOTHING_W = 3;
const QUIET_MS = 2 * MINUTE_MS;
/** Nothing changes while nobody looks, up to this. */
const BRIDGED_MS = 30 * MINUTE_MS;
/** Of the energy lost, what may have gone or come otherwise. */
const OTHER_SHARE = 0.01;
/** A fall of so much at once is the gauge correcting itself. */
const JUMP_PCT = 2;
/** Below this it ends: the station would soon switch off. */
const LOWEST_PCT = 3;
const RANGE_FACTOR = 1.96;

interface Run {
  readonly from: number;
  readonly to: number;
  readonly ticks: readonly Tick[];
}

function beginning(asked: TrialAsked<'ownDraw'>): number | Waits {
  const { samples: s, startedAt } = asked;
  const first = indexAt(s.at, startedAt);
  const last = s.at.length - 1;
  if (first > last) return 'readings';
  if (!isTold(s.pct)) return 'stateOfCharge';
  if (!isTold(s.outputW) && !isTold(s.acOutputW)) return 'outputPower';
  // Without a label, or a measured one, nobody knows what a percent holds.
  if (perPercent(asked.options) === null) return 'batteryPower';
  const input = inColumn(s);
  const ready = (k: number) => s.acOn[k] !== 0 && !(loadOf(asked, k) > NOTHING_W) && !(input[k]! > INPUT_W);
  const found = stretchesWhere(s.at, first, last, ready, QUIET_MS, asked.gapLimitMs)[0];
  if (found !== undefined) return found.from;
  if (input[last]! > INPUT_W) return 'noInput';
  return s.acOn[last] === 0 ? 'outletsOn' : 'noLoad';
}

/** All that goes out, W. */
const loadOf = ({ samples: s }: TrialAsked, k: number): number =>
  isTold(s.outputW) ? s.outputW[k]! : (s.acOutputW[k]! || 0) + (s.dcOutputW[k]! || 0);

/** Battery watts so far, from the first single tick on; by whole percents where there are not two. */
function powerOf(asked: TrialAsked<'ownDraw'>, run: Run, lastTick: number): PercentPower | null {
  const percent = perPercent(asked.options);
  if (percent === null) return null;
  const [first, last] = [run.ticks[0], run.ticks[lastTick]];
  if (first !== undefined && last !== undefined && first.to > last.to)
    return tickToTick(first, last, percent, asked.station);
  const { samples: s } = asked;
  const shown = valuesOf(s.pct, run.from, run.to);
  const hours = (s.at[run.to]! - s.at[run.from]!) / HOUR_MS;
  if (shown.length < 2 || hours <= 0 || shown[0]! <= shown.at(-1)!) return null;
  return wholePercents(shown[0]!, shown.at(-1)!, hours, percent, asked.station);
}

const halfOf = ({ terms }: PercentPower): number => RANGE_FACTOR * combined(terms);
const narrowIs = ({ narrowPct, narrowW }: OwnDrawOptions, powerW: number): number =>
  Math.max(narrowW, (narrowPct / 100) * powerW);

/** The tick at which the range is narrow enough; null while it is not. */
function narrowAt(asked: TrialAsked<'ownDraw'>, run: Run): number | null {
  for (let k = 2; k < run.ticks.length; k++) {
    const power = powerOf(asked, run, k);
    if (power !== null && power.fellPct >= 2 && halfOf(power) <= narrowIs(asked.options, power.powerW)) return k;
  }
  return null;
}

interface Ended {
  readonly ends: Ends | null;
  readonly to: number;
  readonly lastTick: number;
}

function ending(asked: TrialAsked<'ownDraw'>, run: Run): Ended {
  const { samples: s, options } = asked;
  const narrow = narrowAt(asked, run);
  if (narrow !== null)
    return { ends: 'narrowEnough', to: Math.min(run.to, indexAt(s.at, run.ticks[narrow]!.at)), lastTick: narrow };
  const longestAt = s.at[run.from]! + options.longestHours * HOUR_MS;
  const lastTick = run.ticks.length - 1;
  if (s.at[run.to]! >= longestAt) return { ends: 'longest', to: indexAt(s.at, longestAt), lastTick };
  const low = stretchesWhere(s.at, run.from, run.to, k => s.pct[k]! <= LOWEST_PCT, 0)[0];
  return low === undefined ? { ends: null, to: run.to, lastTick } : { ends: 'floor', to: low.from, lastTick };
}

function spoilersOf(asked: TrialAsked<'ownDraw'>, from: number, to: number, power: PercentPower | null): Spoiled[] {
  const { samples: s, options } = asked;
  const lostWh = power === null ? 1 : power.powerW * power.hours;
  const loads = stretchesWhere(s.at, from, to, k => loadOf(asked, k) > NOTHING_W, MINUTE_MS / 3, MINUTE_MS).map(of => {
    let wh = 0;
    for (let k = of.from; k <= of.to; k++)
      wh += ((loadOf(asked, k) || 0) * (s.at[Math.min(k + 1, to)]! - s.at[k]!)) / HOUR_MS;
    return spoiled('otherLoad', s.at[of.from]!, s.at[of.to]!, wh > OTHER_SHARE * lostWh ? 'spoils' : 'noted', wh, 'Wh');
  });
  const off = stretchesWhere(s.at, from, to, k => s.acOn[k] === 0, MINUTE_MS, MINUTE_MS).map(of =>
    spoiled('switchedOffEarly', s.at[of.from]!, s.at[of.to]!, 'spoils', pctToldAt(s, of.from), '%'),
  );
  const jumps = ticksOf(s.at, s.pct, from, to)
    .filter(tick => (tick.from - tick.to >= JUMP_PCT && tick.widthMs < BRIDGED_MS) || tick.to - tick.from > 1)
    .map(tick => spoiled('gaugeCorrected', tick.at, tick.at, 'spoils', tick.from - tick.to, '%'));
  const until = asked.endedAt ?? asked.nowAt;
  const trailing =
    s.at.length - 1 === to ? gapsSeen(Float64Array.of(s.at[to]!, until), 0, 1, asked.gapLimitMs, BRIDGED_MS) : [];
  return [
    ...loads,
    ...off,
    ...jumps,
    ...inputSeen(s, from, to, lostWh, OTHER_SHARE),
    ...temperatureSeen(s, from, to, options),
    ...gapsSeen(s.at, from, to, asked.gapLimitMs, BRIDGED_MS),
    ...trailing,
  ].sort((a, b) => a.at - b.at);
}

/** Far more than it can take for one percent without one: its gauge does not see so small a current. */
function isBlind(asked: TrialAsked<'ownDraw'>, run: Run): boolean {
  const percent = perPercent(asked.options);
  const hours = (asked.samples.at[run.to]! - asked.samples.at[run.from]!) / HOUR_MS;
  // Two watts, on the own electronics alone.
  return percent !== null && run.ticks.length === 0 && hours > percent.wh / 2 + 1;
}

function resultOf(
  asked: TrialAsked<'ownDraw'>,
  run: Run,
  ended: Ended,
  power: PercentPower | null,
): TrialResult | null {
  if (power === null) return null;
  const { samples: s } = asked;
  const figure = figureOf('ownDrawW', power.powerW, 'W', 'percents', power.terms);
  const hours = figureOf('hours', power.hours, 'h', 'clock', []);
  const temps = valuesOf(s.tempC, run.from, ended.to);
  return {
    figures: [{ ...figure, low95: Math.max(0, figure.low95) }, hours],
    curves: [hourCurve('percentByHour', s.at, s.pct, run.from, ended.to)],
    under: {
      meanW: 0,
      tempC: temps.length === 0 ? null : meanOf(temps),
      fromPct: pctToldAt(s, run.from),
      toPct: valuesOf(s.pct, run.from, ended.to).at(-1) ?? null,
    },
  };
}

/** Judges an own-draw trial. */
export function judgeOwnDraw(asked: TrialAsked<'ownDraw'>): TrialJudgement {
  const from = beginning(asked);
  if (typeof from === 'string') return waiting(asked, from);
  const { samples: s, options, endedAt } = asked;
  const to = endedAt === null ? s.at.length - 1 : Math.max(from, indexAt(s.at, endedAt + 1) - 1);
  const ticks = passed(ticksOf(s.at, s.pct, from, to), -1);
  // The first boundary must be crossed by a single percent to tell where it was.
  const run = {
    from,
    to,
    ticks: ticks.slice(
      Math.max(
        0,
        ticks.findIndex(t => t.from - t.to === 1),
      ),
    ),
  };
  const ended = ending(asked, run);
  const power = powerOf(asked, run, ended.lastTick);
  const blind =
    isBlind(asked, run) || (ended.ends !== null && power === null)
      ? [spoiled('gaugeBlind', s.at[from]!, s.at[to]!, 'spoils')]
      : [];
  const half = power === null ? null : halfOf(power);
  const spoiledBy = [...spoilersOf(asked, from, ended.to, power), ...blind];
  const end = beforeGap(s.at, ended.to, spoiledBy);
  const result = (): TrialResult | null => {
    if (end === ended.to) return resultOf(asked, run, ended, power);
    const before = { ...run, to: end, ticks: run.ticks.filter(tick => tick.at <= s.at[end]!) };
    const lastTick = before.ticks.length - 1;
    return resultOf(asked, before, { ends: 'gap', to: end, lastTick }, powerOf(asked, before, lastTick));
  };
  return stood(asked, {
    beganAt: s.at[from]!,
    endedAt: ended.ends === null ? null : s.at[ended.to]!,
    endsBecause: ended.ends,
    spoiledBy,
    progress: {
      share: half === null ? null : Math.min(1, narrowIs(options, power!.powerW) / half),
      leftMs: power === null || half === null ? null : leftMs(options, power, half),
      count: Math.max(0, run.ticks.length - 1),
    },
    result,
    endsByOwner: power !== null,
  });
}

/** Percents still to be lost at the rate so far: what shrinks with the fall is counted, what does not stays. */
function leftMs(options: OwnDrawOptions, power: PercentPower, half: number): number | null {
  const fixed =
    RANGE_FACTOR * combined(power.terms.filter(t => t.source === 'perPercent' || t.source === 'gaugeCount'));
  const aim = narrowIs(options, power.powerW);
  if (half <= aim) return 0;
  if (fixed >= aim) return null;
  const more = Math.sqrt((half ** 2 - fixed ** 2) / (aim ** 2 - fixed ** 2));
  return power.hours * (more - 1) * HOUR_MS;
}
