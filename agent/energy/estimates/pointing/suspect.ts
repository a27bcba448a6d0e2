/**
 * A suspect: one way in which fewer watts could come about, with what it would let one see. Each suspect is a point; a
 * cause that comes in degrees (shade, cloud, dirt) is many. How much each is thought of beforehand (`weight`) is own
 * judgement throughout; what decides is how well the watts and volts fit.
 */
import { leadOhm } from '../../laws/lead.ts';
import { UNKNOWN_POWER_PER_K } from '../../laws/pvwatts.ts';
import type { ExpectedBand } from './asked.ts';
import type { CauseCode, Observed, Wired } from './few-asked.ts';
import { type PanelVolts, panelVolts, type Wiring, wiringsOf } from './panel-volts.ts';

export interface Suspect {
  readonly cause: CauseCode;
  /** Before anything is measured; only against other suspects. */
  readonly weight: number;
  /** Watts it would leave; null: any up to what is offered. */
  readonly leavesW: number | null;
  /** Volts it would show, or between which; null: it says nothing of volts. */
  readonly volts: number | readonly [low: number, high: number] | null;
}

/** What suspects are made from. */
export interface Scene {
  readonly observed: Observed;
  readonly expected: ExpectedBand;
  readonly wired: Wired;
  /** Light there is as a share of the clear sky's: measured on the plane, else 1. */
  readonly lightShare: number;
  readonly airTempC: number;
  readonly powerPerK: number;
  readonly wirings: readonly Wiring[];
  readonly panel: PanelVolts | null;
  /** Of the lead that was told; null where none was, or not the panels' amps. */
  readonly leadOhm: number | null;
}

/** Cells rise above the air by this much for each W/m²: NOCT 47 °C. */
const RISE_K_PER_WM2 = 27 / 800;
/** The losses already taken off hold so much for leads. */
const USUAL_LEAD = 0.02;
const MOST_LEAD = 0.6;
/** Light on the plane from which a measured share of it means something, W/m². */
const MEASURED_FROM_WM2 = 50;

export function sceneOf(observed: Observed, expected: ExpectedBand, wired: Wired): Scene {
  const { planeOfArrayWm2 } = observed;
  const measured = planeOfArrayWm2 !== null && expected.planeWm2 > MEASURED_FROM_WM2;
  const { lead } = wired;
  return {
    observed,
    expected,
    wired,
    lightShare: measured ? planeOfArrayWm2 / expected.planeWm2 : 1,
    airTempC: observed.airTempC ?? expected.cellTempC - RISE_K_PER_WM2 * expected.planeWm2,
    powerPerK: wired.powerPerK ?? UNKNOWN_POWER_PER_K,
    wirings: wiringsOf(wired),
    panel: panelVolts(wired),
    leadOhm: lead === null || wired.maxPowerA === null ? null : leadOhm(lead.lengthM, lead.conductorMm2),
  };
}

/** Cells under a share of the clear sky's light, °C. */
const cellTempAt = ({ airTempC, expected }: Scene, share: number): number =>
  airTempC + (expected.cellTempC - airTempC) * share;

/** Share of volts and watts that the told lead takes under a share of the clear sky's light; 0 where none was told. */
export function leadShareAt(scene: Scene, wiring: Wiring | null, share: number): number {
  if (wiring === null || scene.panel === null || scene.leadOhm === null) return 0;
  const amps = wiring.parallel * scene.wired.maxPowerA! * (scene.expected.planeWm2 / 1000) * share;
  const volts = wiring.series * scene.panel.atMaxPower(1, 25);
  return Math.min(MOST_LEAD, (amps * scene.leadOhm) / volts);
}

/** Watts offered under a share of the clear sky's light, behind the lead; cooler cells give a little more of it. */
export function wattsAt(scene: Scene, wiring: Wiring | null, share: number): number {
  const { expected, powerPerK } = scene;
  const byWarmth = 1 + powerPerK * (cellTempAt(scene, share) - expected.cellTempC);
  const byLead = scene.leadOhm === null ? 1 : (1 - leadShareAt(scene, wiring, share)) / (1 - USUAL_LEAD);
  return expected.offeredW * share * byWarmth * byLead;
}

/** Volts of a string at the port under a share of the clear sky's light; null where no label was told. */
export function voltsAt(scene: Scene, wiring: Wiring | null, share: number): number | null {
  if (scene.panel === null || wiring === null) return null;
  const perPanel = scene.panel.atMaxPower((scene.expected.planeWm2 / 1000) * share, cellTempAt(scene, share));
  return wiring.series * perPanel * (1 - leadShareAt(scene, wiring, share));
}

/** Volts of a string with nothing drawn; null where no label was told. */
export function openVolts(scene: Scene, wiring: Wiring, share: number): number | null {
  if (scene.panel === null) return null;
  return wiring.series * scene.panel.open((scene.expected.planeWm2 / 1000) * share, cellTempAt(scene, share));
}
