/**
 * A charge from low to full, from wall or sun: it begins when something comes in at a low state of charge, and ends when
 * full is shown and little is taken any more. Limits without a source are own judgement.
 */
import type { Spoiled, TrialAsked, TrialJudgement, Waits } from './asked.ts';
import { chargeResult } from './charge-result.ts';
import { chargeColumn, HOUR_MS, indexAt, isTold, lastTold, MINUTE_MS, medianOf, pctAt, valuesOf } from './samples.ts';
import { beforeGap, stood, waiting } from './stage.ts';
import { ticksOf } from './ticks.ts';
import { gapsSeen, INPUT_W, type Stretch, spoiled, stretchesWhere, temperatureSeen } from './watch.ts';

/** Less is no charge. */
const CHARGE_LEAST_W = 15;
const SURE_MS = MINUTE_MS;
/** Of what it took before: it takes no more. */
const LITTLE_SHARE = 0.08;
const LITTLE_MS = 2 * MINUTE_MS;
/** At full it ends after so long, whatever still trickles in. */
const FULL_LONGEST_MS = HOUR_MS;
const OFF_MS = 2 * MINUTE_MS;
/** Of what was taken in, what may have gone out or come from elsewhere. */
const OTHER_SHARE = 0.01;

type Asked = TrialAsked<'charge'>;

function beginning(asked: Asked): number | Waits {
  const { samples: s, options, startedAt } = asked;
  const first = indexAt(s.at, startedAt);
  const last = s.at.length - 1;
  if (first > last) return 'readings';
  if (!isTold(s.pct)) return 'stateOfCharge';
  const input = chargeColumn(asked.samples, asked.options.source);
  let low = false;
  // Low once is low enough: what comes in raises it at once.
  const ready = (k: number) => {
    if (s.pct[k]! <= options.fromPct) low = true;
    else if (s.pct[k]! > options.fromPct + 2) low = false;
    return low && input[k]! >= CHARGE_LEAST_W;
  };
  const leastMs = options.source === 'wall' ? SURE_MS : 5 * MINUTE_MS;
  const found = stretchesWhere(s.at, first, last, ready, leastMs, Math.max(asked.gapLimitMs, MINUTE_MS))[0];
  if (found !== undefined) return found.from;
  return lastTold(s.pct, last) > options.fromPct ? 'low' : 'input';
}

/** First sample at which it is full and takes little; null while it is not. */
function fullAt(asked: Asked, from: number, to: number): number | null {
  const { samples: s, options } = asked;
  const input = chargeColumn(asked.samples, asked.options.source);
  const reached = indexOfPct(s.pct, from, to, options.toPct);
  if (reached === null) return null;
  const level = medianOf(valuesOf(input, from, reached));
  const little = (k: number) => input[k]! < Math.max(INPUT_W, LITTLE_SHARE * level);
  const rests = stretchesWhere(s.at, reached, to, little, LITTLE_MS, asked.gapLimitMs)[0];
  if (rests !== undefined) return rests.from;
  return s.at[to]! - s.at[reached]! > FULL_LONGEST_MS ? indexAt(s.at, s.at[reached]! + FULL_LONGEST_MS) : null;
}

export function indexOfPct(pct: Float64Array, from: number, to: number, least: number): number | null {
  for (let k = from; k <= to; k++) if (pct[k]! >= least) return k;
  return null;
}

function energyWhere(at: Float64Array, column: Float64Array, { from, to }: Stretch): number {
  let wh = 0;
  for (let k = from; k < Math.min(to + 1, at.length - 1); k++)
    wh += ((column[k]! || 0) * (at[k + 1]! - at[k]!)) / HOUR_MS;
  return wh;
}

function inputSeen(asked: Asked, from: number, to: number, level: number): Spoiled[] {
  const { samples: s, options } = asked;
  const input = chargeColumn(asked.samples, asked.options.source);
  const nearFull = Math.min(97, options.toPct - 1);
  const gone = (k: number) => input[k]! < Math.max(INPUT_W, LITTLE_SHARE * level) && pctAt(s, k) < nearFull;
  return stretchesWhere(s.at, from, to, gone, MINUTE_MS / 2, MINUTE_MS).map(of => {
    const ms = s.at[Math.min(of.to + 1, to)]! - s.at[of.from]!;
    // The sun may pause; a wall that does has been unplugged.
    const spoils = options.source === 'wall' && ms > OFF_MS;
    const what = options.source === 'wall' ? 'inputOff' : 'clouds';
    return spoiled(what, s.at[of.from]!, s.at[of.to]!, spoils ? 'spoils' : 'noted', ms / MINUTE_MS, 'min');
  });
}

function otherSeen(asked: Asked, from: number, to: number, takenWh: number): Spoiled[] {
  const { samples: s, options } = asked;
  const others = options.source === 'wall' ? s.solarW : s.chargerW;
  const of = (what: 'otherLoad' | 'sunOnPanels' | 'mainsBack', column: Float64Array, least: number): Spoiled[] => {
    const found = stretchesWhere(s.at, from, to, k => column[k]! > least, MINUTE_MS / 2, MINUTE_MS);
    const sized = found.map(f => ({ ...f, wh: energyWhere(s.at, column, f) }));
    const all = sized.reduce((sum, f) => sum + f.wh, 0);
    return sized.map(f =>
      spoiled(what, s.at[f.from]!, s.at[f.to]!, all > OTHER_SHARE * takenWh ? 'spoils' : 'noted', f.wh, 'Wh'),
    );
  };
  return [
    ...of('otherLoad', isTold(s.outputW) ? s.outputW : s.acOutputW, 5),
    ...of(options.source === 'wall' ? 'sunOnPanels' : 'mainsBack', others, INPUT_W),
  ];
}

function spoilersOf(asked: Asked, { from, to }: Stretch, ended: boolean): Spoiled[] {
  const { samples: s, options } = asked;
  const input = chargeColumn(asked.samples, asked.options.source);
  const level = medianOf(valuesOf(input, from, to).filter(w => w >= CHARGE_LEAST_W));
  const takenWh = energyWhere(s.at, input, { from, to });
  const until = asked.endedAt ?? asked.nowAt;
  const falls = ticksOf(s.at, s.pct, from, to)
    .filter(tick => tick.from - tick.to >= 2 || (tick.to - tick.from >= 4 && tick.widthMs < 2 * asked.gapLimitMs))
    .map(tick => spoiled('gaugeCorrected', tick.at, tick.at, 'noted', tick.to - tick.from, '%'));
  return [
    ...inputSeen(asked, from, to, level),
    ...otherSeen(asked, from, to, takenWh),
    ...falls,
    ...temperatureSeen(s, from, to, options),
    ...gapsSeen(s.at, from, to, asked.gapLimitMs),
    ...(ended ? [] : gapsSeen(Float64Array.of(s.at[to]!, until), 0, 1, asked.gapLimitMs)),
  ].sort((a, b) => a.at - b.at);
}

/** Judges a charge. */
export function judgeCharge(asked: Asked): TrialJudgement {
  const from = beginning(asked);
  if (typeof from === 'string') return waiting(asked, from);
  const { samples: s, options, endedAt } = asked;
  const last = endedAt === null ? s.at.length - 1 : Math.max(from, indexAt(s.at, endedAt + 1) - 1);
  const full = fullAt(asked, from, last);
  const run = { from, to: full ?? last };
  const start = pctAt(s, from);
  const share = (lastTold(s.pct, run.to) - start) / Math.max(1, options.toPct - start);
  const ms = s.at[run.to]! - s.at[from]!;
  const spoiledBy = spoilersOf(asked, run, full !== null);
  return stood(asked, {
    beganAt: s.at[from]!,
    endedAt: full === null ? null : s.at[full]!,
    endsBecause: full === null ? null : 'full',
    spoiledBy,
    progress: { share: Math.min(1, share), leftMs: share > 0.03 && share < 1 ? (ms * (1 - share)) / share : null },
    result: () => chargeResult(asked, { from, to: beforeGap(s.at, run.to, spoiledBy) }),
  });
}
