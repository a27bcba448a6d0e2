/**
 * Suspects on the station's side: it takes less than is offered, so that the panels stand between their best volts and
 * open ones. What the station says itself counts for most; else charge, warmth, and whether the watts just cover what
 * goes out. Weights are own judgement; no charging at freezing is common practice, no source.
 */
import type { CauseCode, Observed } from './few-asked.ts';
import { leadShareAt, openVolts, type Scene, type Suspect, voltsAt, wattsAt } from './suspect.ts';

/** Own draw where it was not told, W. */
const UNKNOWN_IDLE_W = 12;
/** Said by the station. */
const SAID = 60;
/** Of the weights, where the station says that nothing limits it. */
const SAID_NOTHING = 0.03;
const SAID_ANOTHER = 0.02;
/** Of the best volts: less does not show. */
const HELD_FROM = 1.04;

export type Limit = Extract<CauseCode, 'full' | 'taper' | 'port' | 'owner' | 'cold' | 'load'>;

export function limitSuspects(scene: Scene): Suspect[] {
  const suspects: Suspect[] = [];
  const held = heldVolts(scene);
  for (const [cause, weight] of Object.entries(guessed(scene)) as [Limit, number][]) {
    if (weight <= 0) continue;
    // Where nothing more is stored, the sun brings in what goes out.
    const covers = cause === 'taper' || cause === 'port' ? null : coveredW(scene);
    const leaves = covers === null ? [null] : [covers, null];
    for (const leavesW of leaves)
      for (const volts of held) suspects.push({ cause, weight: weight / leaves.length / held.length, leavesW, volts });
  }
  return [...suspects, ...lowVolts(scene)];
}

/** Panels that are held back show from a little above their best volts to open ones, by ways of wiring. */
function heldVolts(scene: Scene): (readonly [number, number] | null)[] {
  if (scene.wirings.length === 0) return [null];
  return scene.wirings.map(wiring => {
    const best = voltsAt(scene, wiring, scene.lightShare);
    const open = openVolts(scene, wiring, scene.lightShare);
    return best === null || open === null ? null : [best * HELD_FROM, open * 1.02];
  });
}

/** What goes out and the station's own draw, W at the port; null where output is not told. */
export function coveredW({ observed, wired }: Scene): number | null {
  return observed.outputW === null ? null : Math.max(2, (observed.outputW + (wired.idleW ?? UNKNOWN_IDLE_W)) / 0.95);
}

/** How much each limit is thought of beforehand. */
export function guessed(scene: Scene): Record<Limit, number> {
  const { observed } = scene;
  const told = guess(scene);
  const said = observed.limitedBy;
  if (said === null) return told;
  const all = said === 'nothing' ? SAID_NOTHING : SAID_ANOTHER;
  const rest = Object.fromEntries(Object.entries(told).map(([k, w]) => [k, w * all])) as Record<Limit, number>;
  // Volts above the port's limit are seen, whatever it says.
  if (said === 'nothing') return { ...rest, load: told.load * 0.3, port: tooManyVolts(scene) ? told.port : rest.port };
  if (said !== 'full') return { ...rest, [said]: SAID };
  // A station that stops short of the last percent says full as well; the charge tells which it is.
  const full = observed.stateOfChargePct === null ? 0.5 : observed.stateOfChargePct >= 98.5 ? 0.92 : 0.05;
  return { ...rest, full: SAID * full, taper: SAID * (1 - full) };
}

function guess(scene: Scene): Record<Limit, number> {
  const { observed, wired } = scene;
  const atCeiling =
    wired.ceilingPct < 100 && observed.stateOfChargePct !== null && observed.stateOfChargePct >= wired.ceilingPct - 1;
  return {
    ...byCharge(observed.stateOfChargePct),
    owner: atCeiling ? 15 : 0.05,
    cold: byWarmth(observed, justCovers(scene)),
    port: byPort(scene),
    load: byLoad(scene),
  };
}

function byCharge(pct: number | null): { full: number; taper: number } {
  if (pct === null) return { full: 0.5, taper: 0.3 };
  if (pct >= 99.5) return { full: 20, taper: 2 };
  if (pct >= 97.5) return { full: 1.5, taper: 9 };
  if (pct >= 93) return { full: 0.02, taper: 6 };
  if (pct >= 88) return { full: 0, taper: 1.5 };
  return { full: 0, taper: pct >= 80 ? 0.1 : 0 };
}

function byWarmth({ batteryTempC, airTempC }: Observed, covers: boolean): number {
  if (batteryTempC === null) return (covers ? 0.3 : 0.05) * ((airTempC ?? 10) > 12 ? 0.1 : 1);
  if (batteryTempC <= 0.5) return 30;
  if (batteryTempC <= 2) return 5;
  return batteryTempC <= 5 ? 0.5 : 0;
}

export const tooManyVolts = ({ observed: { solarVoltageV: volts }, wired: { port } }: Scene): boolean =>
  volts !== null && port.maxV !== null && volts > port.maxV;

/** At the port's watts or amps, or above its volts. */
function byPort(scene: Scene): number {
  const { observed, wired } = scene;
  const { port } = wired;
  const { gotW, solarVoltageV: volts } = observed;
  const amps = observed.solarCurrentA ?? (volts !== null && volts > 1 ? gotW / volts : null);
  const near = (value: number | null, limit: number | null) =>
    value !== null && limit !== null && Math.abs(value / limit - 1) < 0.03;
  if (tooManyVolts(scene)) return 40;
  if (near(gotW, port.maxW) || near(amps, port.maxA)) return 25;
  const couldBe = port.maxW === null || wattsAt(scene, null, scene.lightShare) > port.maxW;
  return amps === null && port.maxA === null && couldBe ? 0.1 : 0.02;
}

/** The watts just cover what goes out. Whether something else keeps the battery from taking more must be known for it. */
function byLoad(scene: Scene): number {
  const { stateOfChargePct, batteryTempC, solarVoltageV } = scene.observed;
  const known =
    (stateOfChargePct === null ? 0.4 : 1) * (batteryTempC === null ? 0.3 : 1) * (solarVoltageV === null ? 0.4 : 1);
  return justCovers(scene) ? 0.6 * known : 0.02;
}

function justCovers(scene: Scene): boolean {
  const covered = coveredW(scene);
  return covered !== null && Math.abs(scene.observed.gotW - covered) < Math.max(6, 0.08 * covered);
}

/** Panels whose best volts lie below the port's window: it takes them at its own least volts, or not at all. */
function lowVolts(scene: Scene): Suspect[] {
  const { minV } = scene.wired.port;
  if (minV === null) return [];
  return scene.wirings.flatMap(wiring => {
    const best = voltsAt(scene, wiring, scene.lightShare);
    if (best === null || best > minV * 1.02) return [];
    // Where a short lead would do, it is the lead.
    const cause = best / (1 - leadShareAt(scene, wiring, scene.lightShare)) > minV * 1.02 ? 'lead' : 'lowVoltage';
    return [{ cause, weight: 2 / scene.wirings.length, leavesW: null, volts: minV }];
  });
}
