/**
 * A station of hidden values lived through a script, in steps of a quarter of the time between two readings: what it
 * tells, what an external meter tells, and what was true.
 */
import { createChance } from '#energy/estimates/chance';
import type { MeterSamples, TrialSamples } from '#energy/estimates/trials/asked';
import { createGauge } from '../../../simulators/plant/battery/gauge.ts';
import { createPack } from '../../../simulators/plant/battery/pack.ts';
import { type Hidden, trueBusW } from './hidden.ts';

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
/** Load, as the mains of a small converter lets it wander: slow, and from second to second. */
const WANDER = 0.004;
const WANDER_FOLLOWS_MS = 600_000;
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

/** Share of a step over which it was on. */
function since(on: (ms: number) => boolean, fromMs: number, stepMs: number): number {
  const parts = 32;
  let count = 0;
  for (let k = 0; k < parts; k++) if (on(fromMs + ((k + 0.5) * stepMs) / parts)) count++;
  return count / parts;
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

/** Lives a script through. @param seed of the moments, not of the station */
export function live(hidden: Hidden, script: Script, seed: number): Lived {
  const chance = createChance(seed);
  const { own } = hidden;
  const pack = createPack(hidden.pack, script.startPct / 100, script.roomC?.(0) ?? hidden.roomC);
  const gauge = createGauge(hidden.gauge, hidden.pack.capacityAh, script.startPct / 100);
  const jitter = Array.from({ length: 102 }, () => hidden.jitterPct * Math.max(-2.5, Math.min(2.5, chance.normal())));
  const show = showing(hidden, jitter);
  const stepMs = own.everyMs / 4;
  const dtS = stepMs / 1000;
  const rows = createRows(13);
  const meterRows = createRows(3);
  const track = createRows(5);
  const ticks: { at: number; pct: number }[] = [];
  let [acWh, inWh, busWh, wander, meterWh] = [0, 0, 0, 0, 1000 * chance.uniform()];
  let [lastAcW, lastWall] = [0, false];
  let [on, full, last, overAt] = [true, false, -1, Number.POSITIVE_INFINITY];
  let cutOffAt: number | null = null;
  let fullAt: number | null = null;
  let nextMeterMs = 0;
  const round = (w: number, stepW: number, how: keyof typeof ROUND) =>
    ROUND[how](Math.round((w / stepW) * 1e6) / 1e6) * stepW;
  const shownW = (w: number, gain: number) => {
    const x = w * gain * (1 + own.noiseShare * chance.normal()) + own.noiseW * chance.normal();
    return w * gain < own.deadW ? 0 : Math.max(0, Math.round(round(x, own.stepW, own.wattsRounding) * 10) / 10);
  };
  for (let ms = 0; ms <= script.longestMs && ms <= overAt + AFTER_MS; ms += stepMs) {
    wander +=
      (-wander * stepMs) / WANDER_FOLLOWS_MS + WANDER * Math.sqrt((2 * stepMs) / WANDER_FOLLOWS_MS) * chance.normal();
    const wall = script.wall?.(ms + stepMs) ?? false;
    const acOn = (on || wall) && (script.acOn?.(ms) ?? true);
    const wantedW = acOn ? Math.min(hidden.converter.maxW, script.loadW(ms + stepMs) * (1 + wander)) : 0;
    const dcW = on ? (script.dcW?.(ms) ?? 0) : 0;
    let acW = wantedW;
    // Of the step in which the outlets stop, half.
    let runs = 1;
    // The wall feeds the outlets straight through.
    let busW = (acOn && !wall ? trueBusW(hidden, acW) : hidden.housekeepingW) + dcW / 0.92;
    if (busW > pack.giveW(dtS) && !wall) {
      runs = on ? 0.5 : 0;
      busW = Math.min(busW * runs + hidden.housekeepingW * (1 - runs), pack.giveW(dtS));
      on = false;
    }
    const accepts = full ? 0 : pack.acceptW(dtS);
    const wallW = wall ? Math.min(hidden.chargerMaxW, (accepts + busW) / hidden.chargerShare) : 0;
    const sunW = Math.min(script.sunW?.(ms) ?? 0, (accepts + busW) / 0.96);
    const packW = wallW * hidden.chargerShare + sunW * 0.96 - busW;
    pack.step(packW, dtS, script.roomC?.(ms) ?? hidden.roomC);
    full = packW > -1 && (full || (packW > 0 && pack.share() >= hidden.fullShare));
    gauge.count(pack.currentA(), dtS, full ? 1 : pack.share() >= 1 ? 0.9999 : pack.share());
    if (on && !wall && gauge.share() * 100 <= hidden.lowCutoffPct) {
      on = false;
      runs = 0.5;
    }
    const hours = dtS / 3600;
    acW *= runs;
    // Of the step in which something is plugged in, the part after that moment.
    const acHours = acW > 0 && lastAcW === 0 ? hours * since(at => script.loadW(at) > 0, ms, stepMs) : hours;
    acWh += acW * acHours;
    inWh +=
      (wallW + sunW + (wall ? acW : 0)) *
      (wall && !lastWall ? hours * since(at => script.wall!(at), ms, stepMs) : hours);
    busWh += busW * hours;
    meterWh += acW * acHours * hidden.meter.gain;
    lastAcW = acW;
    lastWall = wall;
    const endMs = ms + stepMs;
    if (runs < 1) acW = 0;
    if (!on && cutOffAt === null) cutOffAt = START_AT + endMs;
    if (wall) on = true;
    if (full && fullAt === null) fullAt = START_AT + endMs;
    const pct = show(gauge.share());
    if (pct !== last && last >= 0) ticks.push({ at: START_AT + endMs - stepMs * chance.uniform(), pct });
    last = pct;
    track.row[0] = START_AT + endMs;
    track.row[1] = acWh;
    track.row[2] = inWh;
    track.row[3] = busWh;
    track.row[4] = 100 * gauge.share();
    track.take();
    if (endMs >= nextMeterMs && !(script.meterSilent?.(endMs) ?? false)) {
      const shown =
        Math.round(
          round(acW * hidden.meter.gain * (1 + FLICKER * chance.normal()), hidden.meter.stepW, hidden.meter.rounding) *
            10,
        ) / 10;
      meterRows.row.set([
        START_AT + endMs,
        shown,
        Math.floor(meterWh / hidden.meter.stepWh + 1e-9) * hidden.meter.stepWh,
      ]);
      meterRows.take();
      nextMeterMs += hidden.meter.everyMs;
    }
    if (endMs % own.everyMs !== 0) continue;
    const inputW = wallW + sunW + (wall ? acW : 0);
    if (overAt === Number.POSITIVE_INFINITY && script.over?.({ ms: endMs, pct, on, full, inputW }) === true)
      overAt = endMs;
    if (script.silent?.(endMs) ?? false) continue;
    const flickering = acW * (1 + FLICKER * chance.normal());
    const amps = pack.currentA();
    const acShown = shownW(flickering, own.outGain);
    const dcShown = shownW(dcW, own.outGain);
    rows.row.set([
      START_AT + endMs,
      shownW(inputW, own.inGain),
      acShown + dcShown,
      acShown,
      dcShown,
      shownW(wallW + (wall ? acW : 0), own.inGain),
      shownW(sunW, own.inGain),
      pct,
      Math.round(pack.voltageV() * own.batteryVGain * 100) / 100,
      Math.round((amps * own.batteryAGain + own.batteryAOffset + 0.01 * chance.normal()) * 100) / 100,
      Math.round(pack.tempC() * 10) / 10,
      acOn && on ? 1 : 0,
      wall ? 1 : 0,
    ]);
    rows.take();
  }
  const none = new Float64Array(0);
  return {
    samples: {
      at: rows.column(0),
      inputW: rows.column(1),
      outputW: rows.column(2),
      acOutputW: rows.column(3),
      dcOutputW: rows.column(4),
      chargerW: rows.column(5),
      solarW: rows.column(6),
      solarPortsW: [],
      pct: rows.column(7),
      batteryV: own.tellsBattery ? rows.column(8) : none,
      batteryA: own.tellsBattery ? rows.column(9) : none,
      batteryW: none,
      tempC: rows.column(10),
      acOn: rows.column(11),
      onMains: rows.column(12),
    },
    meter: { at: meterRows.column(0), powerW: meterRows.column(1), energyWh: meterRows.column(2) },
    truth: {
      acWh,
      inWh,
      batteryOutWh: busWh,
      ticks,
      cutOffAt,
      fullAt,
      endPct: 100 * pack.share(),
      at: track.column(0),
      acByWh: track.column(1),
      inByWh: track.column(2),
      busByWh: track.column(3),
      believedPct: track.column(4),
    },
  };
}
