/**
 * From a station's readings to what the judge of spots is told: watts from the sun, what holds them back, and a
 * reference that stands still. Powers W, instants UTC epoch ms.
 */
import type { AimFacts, AimJudge, Light, Limit } from '#energy/estimates/aiming/asked';
import { createAimJudge } from '#energy/estimates/aiming/judge';
import type { Plane } from '#energy/laws/incidence';
import type { Reading } from '#kit';
import { createAimPorts } from './aim-ports.ts';
import { clearLightOver } from './clear-light.ts';
import type { PanelPlane, StationFacts, StationPlace } from './facts.ts';

/** Where a station does not say what holds it back (common practice, no source): a pack this near to full tapers, … */
const TAPER_PCT = 97;
const FULL_WITHIN_PCT = 0.5;
/** … one this cold takes no charge, … */
const COLD_C = 0;
/** … and a port this near to what it takes is at its limit, whatever the station says. */
const AT_LIMIT = 0.98;
/** Nobody knows what was moved meanwhile. */
const SILENCE_MS = 30_000;
/** A full station that takes just what goes out. */
const ONLY_LOAD_SHARE = 0.05;
const ONLY_LOAD_W = 5;

/** What takes less than the panels could give; null where nothing does, as far as is known. */
export function limitOf(
  { quantities, states }: Pick<Reading, 'quantities' | 'states'>,
  { ceilingPct, solarMaxW }: Pick<StationFacts, 'ceilingPct' | 'solarMaxW'>,
): Limit | null {
  const sunW = quantities.solarPowerW ?? quantities.inputPowerW ?? null;
  const said = states.inputLimitedBy ?? 'unknown';
  if (said !== 'unknown' && said !== 'nothing') return said;
  if (solarMaxW !== null && sunW !== null && sunW >= AT_LIMIT * solarMaxW) return 'port';
  return said === 'nothing' ? null : presumedLimit(quantities, sunW, ceilingPct);
}

function presumedLimit(quantities: Reading['quantities'], sunW: number | null, ceilingPct: number): Limit | null {
  const pct = quantities.stateOfChargePct ?? null;
  if ((quantities.batteryTempC ?? 20) <= COLD_C) return 'cold';
  if (pct === null || pct < Math.min(TAPER_PCT, ceilingPct - FULL_WITHIN_PCT)) return null;
  const outW = quantities.outputPowerW ?? 0;
  const onlyLoad = sunW !== null && Math.abs(sunW - outW) <= Math.max(ONLY_LOAD_W, ONLY_LOAD_SHARE * outW);
  if (onlyLoad && outW > ONLY_LOAD_W) return 'load';
  if (pct < ceilingPct - FULL_WITHIN_PCT) return 'taper';
  return ceilingPct < 100 ? 'owner' : 'full';
}

/** Panels as they stand: as the spot says, else as the settings do. Flat ones face nowhere. */
export function standingPanels(panels: readonly PanelPlane[], plane: Plane | null): PanelPlane[] {
  if (plane !== null) return (panels.length === 0 ? [{ ratedW: 1 }] : panels).map(panel => ({ ...panel, ...plane }));
  return panels.map(panel => (panel.tiltDeg === 0 ? { ...panel, azimuthDeg: panel.azimuthDeg ?? 0 } : panel));
}

/** The clear sky on panels as they stand, or on level ground where any of them is not known to. null without a place. */
export function standingLight(
  place: StationPlace | null,
  panels: readonly PanelPlane[],
  plane: Plane | null,
): Light | null {
  const standing = standingPanels(panels, plane);
  const known = standing.length > 0 && standing.every(p => p.tiltDeg !== undefined && p.azimuthDeg !== undefined);
  const wm2 = clearLightOver(place, known ? standing : []);
  return wm2 === null ? null : { of: known ? 'plane' : 'level', wm2 };
}

export interface Aiming {
  /**
   * Takes a reading with the source of its input settled.
   *
   * @param elsewhereW of another station whose panels stand still, W; null without one
   */
  add(reading: Reading, facts: Pick<StationFacts, 'ceilingPct' | 'solarMaxW'>, elsewhereW: number | null): void;
  judge(): AimJudge;
  /** Since when the judge listens without a break; null before the first reading. What it takes for a move then may be none. */
  sinceMs(): number | null;
  /** What the last reading had for a reference. */
  reference(): 'port' | 'station' | null;
  limit(): Limit | null;
  setFacts(facts: AimFacts): void;
}

export function createAiming(initial: AimFacts): Aiming {
  let facts = initial;
  let judge = createAimJudge(facts);
  const ports = createAimPorts();
  let inHand: number | null = null;
  let reference: 'port' | 'station' | null = null;
  let limit: Limit | null = null;
  let sinceMs: number | null = null;
  let lastMs: number | null = null;
  const begin = (): void => {
    judge = createAimJudge(facts);
    sinceMs = null;
  };
  return {
    add(reading, station, elsewhereW) {
      const split = ports.split(reading.at, reading.quantities, reading.quantities.solarPowerW ?? null);
      // What the judge remembers is of other panels.
      if (split.inHand !== inHand) begin();
      if (lastMs === null || reading.at - lastMs > SILENCE_MS) sinceMs = null;
      lastMs = reading.at;
      sinceMs ??= reading.at;
      inHand = split.inHand;
      reference = split.referenceW !== null ? 'port' : elsewhereW !== null ? 'station' : null;
      limit = limitOf(reading, station);
      judge.add({
        atMs: reading.at,
        powerW: split.powerW,
        referenceW: split.referenceW ?? elsewhereW,
        limitedBy: limit,
      });
    },
    judge: () => judge,
    sinceMs: () => sinceMs,
    reference: () => reference,
    limit: () => limit,
    setFacts(next) {
      if (next.ratedW === facts.ratedW && next.powerPerK === facts.powerPerK) return;
      facts = next;
      begin();
    },
  };
}
