/**
 * A station of hidden values lived through a script, in steps of a quarter of the time between two readings: what it
 * tells, what an external meter tells, and what was true.
 */
import { type Chance, createChance } from '#energy/estimates/chance';
import type { MeterSamples, TrialSamples } from '#energy/estimates/trials/asked';
import { createBody } from './body.ts';
import type { Hidden } from './hidden.ts';

export interface Script {
  readonly startPct: number;
  readonly longestMs: number;
  /** Of the time since the start, ms. */
  loadW(ms: number): number;
  wall?(ms: number): boolean;
  sunW?(ms: number): number;
  dcW?(ms: number): number;
  acOn?(ms: number): boolean;
  roomC?(ms: number): number;
  /** Readings are missing. */
  silent?(ms: number): boolean;
  meterSilent?(ms: number): boolean;
  /** Asked at each reading; it goes on for a few minutes after. */
  over?(seen: { ms: number; pct: number; on: boolean; full: boolean; inputW: number }): boolean;
}

export interface Lived {
  readonly samples: TrialSamples;
  readonly meter: MeterSamples;
  readonly truth: {
    readonly acWh: number;
    readonly inWh: number;
    readonly batteryOutWh: number;
    /** Moments of what the station shows. */
    readonly ticks: readonly { at: number; pct: number }[];
    readonly cutOffAt: number | null;
    readonly fullAt: number | null;
    /** Of the charge, when it ended, %. */
    readonly endPct: number;
    /** Running totals at the end of each step. */
    readonly at: Float64Array;
    readonly acByWh: Float64Array;
    readonly inByWh: Float64Array;
    readonly busByWh: Float64Array;
    /** What the gauge believes between its percents, %. */
    readonly believedPct: Float64Array;
  };
}

export const START_AT = Date.UTC(2026, 5, 1, 6, 0, 0);
const AFTER_MS = 10 * 60_000;
/** Load from second to second. */
const FLICKER = 0.002;

const ROUND = { floor: Math.floor, round: Math.round, ceil: Math.ceil } as const;

/** Whole percents that tick where each boundary really lies. */
function showing(hidden: Hidden, jitter: readonly number[]) {
  const offset = { floor: 0, round: 0.5, ceil: 1 }[hidden.gauge.rounding];
  const warped = (share: number) =>
    100 * share + hidden.warpPct.reduce((sum, a, k) => sum + a * Math.sin((k + 1) * Math.PI * share), 0);
  return (share: number): number => {
    if (share >= 1) return 100;
    const x = warped(share) + offset;
    let level = Math.floor(x);
    if (x < level + (jitter[level] ?? 0)) level--;
    else if (x >= level + 1 + (jitter[level + 1] ?? 0)) level++;
    return Math.min(hidden.gauge.rounding === 'ceil' ? 100 : 99, Math.max(0, level));
  };
}

/** Columns that grow; `row` is filled, then taken. */
function createRows(width: number) {
  let room = 4096;
  let columns = Array.from({ length: width }, () => new Float64Array(room));
  const row = new Float64Array(width);
  let count = 0;
  const grow = () => {
    room *= 2;
    columns = columns.map(old => {
      const longer = new Float64Array(room);
      longer.set(old);
      return longer;
    });
  };
  return {
    row,
    take() {
      if (count === room) grow();
      for (let k = 0; k < width; k++) columns[k]![count] = row[k]!;
      count++;
    },
    column: (k: number) => columns[k]!.slice(0, count),
  };
}

type Body = ReturnType<typeof createBody>;

const digits = (w: number, stepW: number, how: keyof typeof ROUND): number =>
  Math.round(ROUND[how](Math.round((w / stepW) * 1e6) / 1e6) * stepW * 10) / 10;

/** What the station's own instruments tell at a reading. */
function ownRow({ now, pack }: Body, { own }: Hidden, at: number, pct: number, chance: Chance): number[] {
  const shownW = (w: number, gain: number) => {
    const x = w * gain * (1 + own.noiseShare * chance.normal()) + own.noiseW * chance.normal();
    return w * gain < own.deadW ? 0 : Math.max(0, digits(x, own.stepW, own.wattsRounding));
  };
  const amps = pack.currentA();
  const acShown = shownW(now.acW * (1 + FLICKER * chance.normal()), own.outGain);
  const dcShown = shownW(now.dcW, own.outGain);
  const wallW = now.wallW + (now.wall ? now.acW : 0);
  return [
    at,
    shownW(now.wallW + now.sunW + (now.wall ? now.acW : 0), own.inGain),
    acShown + dcShown,
    acShown,
    dcShown,
    shownW(wallW, own.inGain),
    shownW(now.sunW, own.inGain),
    pct,
    Math.round(pack.voltageV() * own.batteryVGain * 100) / 100,
    Math.round((amps * own.batteryAGain + own.batteryAOffset + 0.01 * chance.normal()) * 100) / 100,
    Math.round(pack.tempC() * 10) / 10,
    now.acOn && now.on ? 1 : 0,
    now.wall ? 1 : 0,
  ];
}

function meterRow({ now }: Body, { meter }: Hidden, at: number, chance: Chance): number[] {
  const watts = now.acW * meter.gain * (1 + FLICKER * chance.normal());
  const countWh = Math.floor(now.meterWh / meter.stepWh + 1e-9) * meter.stepWh;
  return [at, digits(watts, meter.stepW, meter.rounding), countWh];
}

type Rows = ReturnType<typeof createRows>;

function samplesOf(rows: Rows, tellsBattery: boolean): TrialSamples {
  const none = new Float64Array(0);
  return {
    at: rows.column(0),
    inputW: rows.column(1),
    outputW: rows.column(2),
    acOutputW: rows.column(3),
    dcOutputW: rows.column(4),
    chargerW: rows.column(5),
    solarW: rows.column(6),
    solarPortsW: [],
    pct: rows.column(7),
    batteryV: tellsBattery ? rows.column(8) : none,
    batteryA: tellsBattery ? rows.column(9) : none,
    batteryW: none,
    tempC: rows.column(10),
    acOn: rows.column(11),
    onMains: rows.column(12),
  };
}

/** Lives a script through. @param seed of the moments, not of the station */
export function live(hidden: Hidden, script: Script, seed: number): Lived {
  const chance = createChance(seed);
  const jitter = Array.from({ length: 102 }, () => hidden.jitterPct * Math.max(-2.5, Math.min(2.5, chance.normal())));
  const show = showing(hidden, jitter);
  const { everyMs, tellsBattery } = hidden.own;
  const stepMs = everyMs / 4;
  const body = createBody(hidden, script, stepMs, chance, 1000 * chance.uniform());
  const { now, pack, gauge } = body;
  const [rows, meterRows, track] = [createRows(13), createRows(3), createRows(5)];
  const ticks: { at: number; pct: number }[] = [];
  const moments = { cutOffAt: null as number | null, fullAt: null as number | null };
  let [last, overAt, nextMeterMs] = [-1, Number.POSITIVE_INFINITY, 0];
  for (let ms = 0; ms <= script.longestMs && ms <= overAt + AFTER_MS; ms += stepMs) {
    body.step(ms);
    const endMs = ms + stepMs;
    const at = START_AT + endMs;
    if (!now.on) moments.cutOffAt ??= at;
    if (now.wall) now.on = true;
    if (now.full) moments.fullAt ??= at;
    const pct = show(gauge.share());
    if (pct !== last && last >= 0) ticks.push({ at: at - stepMs * chance.uniform(), pct });
    last = pct;
    track.row[0] = at;
    track.row[1] = now.acWh;
    track.row[2] = now.inWh;
    track.row[3] = now.busWh;
    track.row[4] = 100 * gauge.share();
    track.take();
    if (endMs >= nextMeterMs && !(script.meterSilent?.(endMs) ?? false)) {
      meterRows.row.set(meterRow(body, hidden, at, chance));
      meterRows.take();
      nextMeterMs += hidden.meter.everyMs;
    }
    if (endMs % everyMs !== 0) continue;
    const seen = { ms: endMs, pct, on: now.on, full: now.full, inputW: now.wallW + now.sunW };
    if (overAt === Number.POSITIVE_INFINITY && script.over?.(seen) === true) overAt = endMs;
    if (script.silent?.(endMs) ?? false) continue;
    rows.row.set(ownRow(body, hidden, at, pct, chance));
    rows.take();
  }
  return {
    samples: samplesOf(rows, tellsBattery),
    meter: { at: meterRows.column(0), powerW: meterRows.column(1), energyWh: meterRows.column(2) },
    truth: {
      acWh: now.acWh,
      inWh: now.inWh,
      batteryOutWh: now.busWh,
      ticks,
      ...moments,
      endPct: 100 * pack.share(),
      at: track.column(0),
      acByWh: track.column(1),
      inByWh: track.column(2),
      busByWh: track.column(3),
      believedPct: track.column(4),
    },
  };
}
