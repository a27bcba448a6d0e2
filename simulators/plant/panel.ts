/**
 * A folding panel on its stand: light on its plane, the cell's temperature, the watts it could give at its maximum
 * power point. Isotropic sky and ground (B. Liu, R. Jordan 1963); cell temperature T_air + k·G (R. Ross 1976) reached
 * with a lag of a few minutes; power falls linearly with temperature.
 */
import { type Tree, throughTree } from './shade.ts';
import type { Sky } from './sky.ts';

export interface PanelFacts {
  readonly name: string;
  readonly ratedW: number;
  /** 0 flat. */
  readonly tiltDeg: number;
  /** Clockwise from true north. */
  readonly azimuthDeg: number;
  /** Relative change of power per kelvin above 25 °C; negative. */
  readonly gammaPerK: number;
  /** Voltage at the maximum power point in standard light, V. */
  readonly mppV: number;
}

export interface PanelOutput {
  planeWm2: number;
  cellTempC: number;
  powerW: number;
  voltageV: number;
}

const RAD = Math.PI / 180;
const ALBEDO = 0.18;
/** Heating of the cell above the air, K per W/m²: a thin panel with air on both sides. */
const ROSS_K = 0.027;
const LAG_S = 240;
/** Dust, cable and mismatch together. */
const SYSTEM_SHARE = 0.93;

/** A panel with its own cell temperature. Call `step` in order of time. */
export function createPanel(facts: PanelFacts, tree: Tree | null, seed: number) {
  const tilt = facts.tiltDeg * RAD;
  const azimuth = facts.azimuthDeg * RAD;
  const normal = {
    east: Math.sin(tilt) * Math.sin(azimuth),
    north: Math.sin(tilt) * Math.cos(azimuth),
    up: Math.cos(tilt),
  };
  const domeView = ((1 + normal.up) / 2) * (1 - (tree?.domeShare ?? 0));
  const groundView = (ALBEDO * (1 - normal.up)) / 2;
  let cellTempC: number | null = null;
  return {
    step(sky: Sky, ms: number, dtS: number): PanelOutput {
      const { sun } = sky;
      const cosine =
        sun.up <= 0 ? 0 : Math.max(0, sun.east * normal.east + sun.north * normal.north + sun.up * normal.up);
      const open = tree === null ? 1 : throughTree(tree, sun, seed, ms);
      // A glass face loses the grazing beam: 5 % at 60°, most of it near 90° (ASHRAE form, b0 = 0.05).
      const incidence = cosine < 0.05 ? 0 : Math.max(0, 1 - 0.05 * (1 / cosine - 1));
      const planeWm2 = sky.beamWm2 * cosine * open * incidence + sky.diffuseWm2 * domeView + sky.globalWm2 * groundView;
      const target = sky.airTempC + ROSS_K * planeWm2;
      cellTempC = cellTempC === null ? target : target + (cellTempC - target) * Math.exp(-dtS / LAG_S);
      const warm = 1 + facts.gammaPerK * (cellTempC - 25);
      // In weak light the junction works less well: about −4 % at 200 W/m².
      const weak = planeWm2 <= 0 ? 0 : Math.max(0, 1 + 0.025 * Math.log(planeWm2 / 1000));
      const powerW = (facts.ratedW * planeWm2 * warm * weak * SYSTEM_SHARE) / 1000;
      const voltageV =
        planeWm2 < 5 ? 0 : facts.mppV * (1 - 0.0028 * (cellTempC - 25)) * (1 + 0.03 * Math.log(planeWm2 / 1000));
      return { planeWm2, cellTempC, powerW, voltageV };
    },
  };
}

/** Panels on one port: their offers add up, the port sees the higher voltage. */
export function createPanels(facts: readonly PanelFacts[], tree: Tree | null, seed: number) {
  const panels = facts.map(f => createPanel(f, tree, seed));
  return {
    step(sky: Sky, ms: number, dtS: number): { offerW: number; voltageV: number } {
      let offerW = 0;
      let voltageV = 0;
      for (const panel of panels) {
        const output = panel.step(sky, ms, dtS);
        offerW += output.powerW;
        voltageV = Math.max(voltageV, output.voltageV);
      }
      return { offerW, voltageV };
    },
  };
}
