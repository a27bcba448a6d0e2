/**
 * The body of a station of hidden values: cells, converter, charger and outlets stepped through a script, with the running
 * totals that are the truth, and what the gauge believes.
 */
import type { Chance } from '#energy/estimates/chance';
import { createGauge } from '../../../simulators/plant/battery/gauge.ts';
import { createPack } from '../../../simulators/plant/battery/pack.ts';
import { type Hidden, trueBusW } from './hidden.ts';
import type { Script } from './lived.ts';

/** Load, as the mains of a small converter lets it wander: slowly. */
const WANDER = 0.004;
const WANDER_FOLLOWS_MS = 600_000;
const DC_SHARE = 0.92;
const TRACKER_SHARE = 0.96;

/** Powers of the last step, W, totals since the start, Wh, and how it stands. */
export interface Now {
  acW: number;
  dcW: number;
  wallW: number;
  sunW: number;
  wall: boolean;
  acOn: boolean;
  /** Outlets have not stopped. */
  on: boolean;
  full: boolean;
  acWh: number;
  inWh: number;
  busWh: number;
  meterWh: number;
}

/** Share of a step over which it was on. */
function since(on: (ms: number) => boolean, fromMs: number, stepMs: number): number {
  const parts = 32;
  let count = 0;
  for (let k = 0; k < parts; k++) if (on(fromMs + ((k + 0.5) * stepMs) / parts)) count++;
  return count / parts;
}

const still = (meterWh: number): Now => ({
  acW: 0,
  dcW: 0,
  wallW: 0,
  sunW: 0,
  wall: false,
  acOn: false,
  on: true,
  full: false,
  acWh: 0,
  inWh: 0,
  busWh: 0,
  meterWh,
});

/** @param meterWh where the external meter's count stands */
export function createBody(hidden: Hidden, script: Script, stepMs: number, chance: Chance, meterWh: number) {
  const pack = createPack(hidden.pack, script.startPct / 100, script.roomC?.(0) ?? hidden.roomC);
  const gauge = createGauge(hidden.gauge, hidden.pack.capacityAh, script.startPct / 100);
  const dtS = stepMs / 1000;
  const hours = dtS / 3600;
  let wander = 0;
  const now = still(meterWh);

  /** Of the step in which something is plugged in, the part after that moment. */
  const count = (ms: number, busW: number, before: { acW: number; wall: boolean }) => {
    const acHours = now.acW > 0 && before.acW === 0 ? hours * since(at => script.loadW(at) > 0, ms, stepMs) : hours;
    const inHours = now.wall && !before.wall ? hours * since(at => script.wall!(at), ms, stepMs) : hours;
    now.acWh += now.acW * acHours;
    now.meterWh += now.acW * acHours * hidden.meter.gain;
    now.inWh += (now.wallW + now.sunW + (now.wall ? now.acW : 0)) * inHours;
    now.busWh += busW * hours;
  };

  /** Battery and gauge over the step; whether the gauge stops the outlets at its end. */
  const charge = (ms: number, busW: number): boolean => {
    const accepts = now.full ? 0 : pack.acceptW(dtS);
    now.wallW = now.wall ? Math.min(hidden.chargerMaxW, (accepts + busW) / hidden.chargerShare) : 0;
    now.sunW = Math.min(script.sunW?.(ms) ?? 0, (accepts + busW) / TRACKER_SHARE);
    const packW = now.wallW * hidden.chargerShare + now.sunW * TRACKER_SHARE - busW;
    pack.step(packW, dtS, script.roomC?.(ms) ?? hidden.roomC);
    now.full = packW > -1 && (now.full || (packW > 0 && pack.share() >= hidden.fullShare));
    gauge.count(pack.currentA(), dtS, now.full ? 1 : pack.share() >= 1 ? 0.9999 : pack.share());
    return now.on && !now.wall && gauge.share() * 100 <= hidden.lowCutoffPct;
  };

  return {
    now,
    pack,
    gauge,
    step(ms: number): void {
      const before = { acW: now.acW, wall: now.wall };
      wander +=
        (-wander * stepMs) / WANDER_FOLLOWS_MS + WANDER * Math.sqrt((2 * stepMs) / WANDER_FOLLOWS_MS) * chance.normal();
      now.wall = script.wall?.(ms + stepMs) ?? false;
      now.acOn = (now.on || now.wall) && (script.acOn?.(ms) ?? true);
      now.acW = now.acOn ? Math.min(hidden.converter.maxW, script.loadW(ms + stepMs) * (1 + wander)) : 0;
      now.dcW = now.on ? (script.dcW?.(ms) ?? 0) : 0;
      // Of the step in which the outlets stop, half.
      let runs = 1;
      // The wall feeds the outlets straight through.
      let busW = (now.acOn && !now.wall ? trueBusW(hidden, now.acW) : hidden.housekeepingW) + now.dcW / DC_SHARE;
      if (busW > pack.giveW(dtS) && !now.wall) {
        runs = now.on ? 0.5 : 0;
        busW = Math.min(busW * runs + hidden.housekeepingW * (1 - runs), pack.giveW(dtS));
        now.on = false;
      }
      if (charge(ms, busW)) {
        now.on = false;
        runs = 0.5;
      }
      now.acW *= runs;
      count(ms, busW, before);
      if (runs < 1) now.acW = 0;
    },
  };
}
