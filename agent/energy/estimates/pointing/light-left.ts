/**
 * What is left of a day's light at one place, step by step, and what panels would make of it standing some way: Wh of
 * the panels behind all losses and the port's limit, under a clear sky.
 */
import { type SkyStep, skyStep } from '../../laws/best-plane.ts';
import type { Plane } from '../../laws/incidence.ts';
import { type Air, onPlane, type Panels, panelPowerW } from '../../panel-power.ts';
import { type ClearSky, clearSkyOver, type SkyPlace } from '../../sky.ts';

const STEP_MS = 5 * 60_000;
const HOUR_MS = 3_600_000;

/** Equally long steps with light in them. */
export interface LightLeft {
  readonly stepMs: number;
  readonly at: readonly number[];
  readonly skies: readonly ClearSky[];
  /** The same skies as a best plane wants them. */
  readonly steps: readonly SkyStep[];
}

/** What the light falls on. */
export interface Takes {
  /** All panels as one. */
  readonly panels: Panels;
  readonly air: Air;
  /** Most the ports take together, W; null: no limit. */
  readonly portMaxW: number | null;
}

/** The clear sky from an instant to another, in steps of five minutes; those without light are left out. */
export function lightLeft(fromMs: number, toMs: number, place: SkyPlace): LightLeft {
  const skyAt = clearSkyOver(place);
  const at: number[] = [];
  const skies: ClearSky[] = [];
  for (let t = fromMs; t < toMs; t += STEP_MS) {
    const sky = skyAt(t);
    if (sky.ghiWm2 <= 0) continue;
    at.push(t);
    skies.push(sky);
  }
  return { stepMs: STEP_MS, at, skies, steps: skies.map(stepOf) };
}

export const stepOf = (sky: ClearSky): SkyStep => skyStep(sky.apparentZenithDeg, sky.sun.azimuthDeg, sky, sky.extraWm2);

/** Every `n`th step, each standing for `n`. */
export const everyNth = (light: LightLeft, n: number): LightLeft => {
  const chosen = <T>(list: readonly T[]) => list.filter((_, i) => i % n === Math.floor(n / 2));
  return { stepMs: light.stepMs * n, at: chosen(light.at), skies: chosen(light.skies), steps: chosen(light.steps) };
};

/** The part before an instant, or from it on. */
export function partOf(light: LightLeft, atMs: number, which: 'before' | 'from'): LightLeft {
  const found = light.at.findIndex(t => t >= atMs);
  const cut = found < 0 ? light.at.length : found;
  const part = <T>(list: readonly T[]) => (which === 'before' ? list.slice(0, cut) : list.slice(cut));
  return { stepMs: light.stepMs, at: part(light.at), skies: part(light.skies), steps: part(light.steps) };
}

/** Watts of the panels at a step, before the port. */
export const offeredW = (sky: ClearSky, plane: Plane, { panels, air }: Takes): number =>
  panelPowerW(onPlane(sky, plane), air, panels);

/** Wh gathered on a plane that stays. */
export function gatheredWh(light: LightLeft, plane: Plane, takes: Takes): number {
  const mostW = takes.portMaxW ?? Number.POSITIVE_INFINITY;
  let sum = 0;
  for (const sky of light.skies) sum += Math.min(mostW, offeredW(sky, plane, takes));
  return (sum * light.stepMs) / HOUR_MS;
}
