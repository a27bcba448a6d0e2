/**
 * The watts to be expected now under a clear sky, as the panels stand, with the range they lie in 19 times in 20.
 *
 * Each spread is found by asking the same laws again with one thing changed. How far it is changed:
 * - air: turbidity by 1 either way, 0.5 where the owner told it (own judgement; the law's own day total is within 10 %);
 * - warmth: 15 K where the air was presumed, else 7 K, for wind, and for cloth on the ground (own judgement);
 * - label: 5 %, as for a folding panel's label (own judgement);
 * - dirt: 3 % about the 2 % already taken off (common practice, no source);
 * - plane: 4° off in the worst direction, as panels are set by hand (own judgement).
 */
import { faimanTempC, rossTempC } from '../../laws/cell-temperature.ts';
import type { Plane } from '../../laws/incidence.ts';
import { totalWm2 } from '../../laws/plane-of-array.ts';
import { lossShare, PORTABLE_LOSSES_PCT, UNKNOWN_POWER_PER_K } from '../../laws/pvwatts.ts';
import { type Air, onPlane, type Panels, panelPowerW } from '../../panel-power.ts';
import { type ClearSky, clearSkyOver } from '../../sky.ts';
import type { ExpectedBand, PointingAsked, Spread, StandingPanels } from './asked.ts';

const TURBIDITY_OFF = { told: 0.5, presumed: 1 };
const WARMTH_OFF_K = { told: 7, presumed: 15 };
const LABEL_PCT = 5;
const DIRT_PCT = 3;
const PLANE_OFF_DEG = 4;
const CLEAREST = 1.5;

type Faced = StandingPanels & { readonly plane: Plane };

export const panelsFor = ({ ratedW, powerPerK }: StandingPanels): Panels => ({
  peakW: ratedW,
  powerPerK: powerPerK ?? UNKNOWN_POWER_PER_K,
  lossShare: lossShare(PORTABLE_LOSSES_PCT),
});

/** All panels as one; null where there are none. */
export function panelsTogether(panels: readonly StandingPanels[]): Panels | null {
  const ratedW = panels.reduce((sum, panel) => sum + panel.ratedW, 0);
  if (ratedW <= 0) return null;
  const powerPerK = panels.reduce((sum, p) => sum + (p.ratedW / ratedW) * (p.powerPerK ?? UNKNOWN_POWER_PER_K), 0);
  return panelsFor({ ratedW, powerPerK, plane: null });
}

/** Panels whose plane is known, all of them; null where one is not. */
export const faced = (panels: readonly StandingPanels[]): readonly Faced[] | null =>
  panels.length > 0 && panels.every((panel): panel is Faced => panel.plane !== null) ? panels : null;

const wattsOf = (sky: ClearSky, panels: readonly Faced[], air: Air): number =>
  panels.reduce((sum, panel) => sum + panelPowerW(onPlane(sky, panel.plane), air, panelsFor(panel)), 0);

/** The band now; null where there are no panels, or one stands as nobody knows. */
export function expectedBand(asked: PointingAsked): ExpectedBand | null {
  const panels = faced(asked.panels);
  if (panels === null) return null;
  const { place, air, atMs } = asked;
  const sky = clearSkyOver(place)(atMs);
  const offeredW = wattsOf(sky, panels, air);
  const ratedW = panels.reduce((sum, panel) => sum + panel.ratedW, 0);
  const planeWm2 = panels.reduce((sum, p) => sum + (p.ratedW / ratedW) * totalWm2(onPlane(sky, p.plane)), 0);
  const cellTempC = air.windMs === null ? rossTempC(planeWm2, air.tempC) : faimanTempC(planeWm2, air.tempC, air.windMs);
  const sides = offeredW <= 0 ? [] : sidesOf(asked, panels, sky, offeredW);
  const mostW = asked.portMaxW ?? Number.POSITIVE_INFINITY;
  const off = (side: 'low' | 'high') => Math.hypot(...sides.map(s => s[side]));
  return {
    lowW: Math.min(mostW, offeredW * Math.max(0, 1 - off('low'))),
    middleW: Math.min(mostW, offeredW),
    highW: Math.min(mostW, offeredW * (1 + off('high'))),
    offeredW,
    planeWm2,
    cellTempC,
    spreads: sides.map(({ of, low, high }): Spread => ({ of, pct: 50 * (low + high) })).sort((a, b) => b.pct - a.pct),
  };
}

interface Sides {
  of: Spread['of'];
  /** Share of the middle that it may be less, and more. */
  low: number;
  high: number;
}

function sidesOf(asked: PointingAsked, panels: readonly Faced[], sky: ClearSky, offeredW: number): Sides[] {
  const { place, air, atMs, turbidityTold, airTold } = asked;
  const between = (of: Spread['of'], watts: readonly number[]): Sides => ({
    of,
    low: Math.max(0, 1 - Math.min(...watts) / offeredW),
    high: Math.max(0, Math.max(...watts) / offeredW - 1),
  });
  const haze = turbidityTold ? TURBIDITY_OFF.told : TURBIDITY_OFF.presumed;
  const airs = [Math.max(CLEAREST, place.turbidity - haze), place.turbidity + haze].map(turbidity =>
    wattsOf(clearSkyOver({ ...place, turbidity })(atMs), panels, air),
  );
  const warmth = airTold ? WARMTH_OFF_K.told : WARMTH_OFF_K.presumed;
  const warm = [-warmth, warmth].map(k => wattsOf(sky, panels, { ...air, tempC: air.tempC + k }));
  const aside = [
    [PLANE_OFF_DEG, 0],
    [-PLANE_OFF_DEG, 0],
    [0, PLANE_OFF_DEG],
    [0, -PLANE_OFF_DEG],
  ].map(([tilt, turn]) =>
    wattsOf(
      sky,
      panels.map(panel => ({ ...panel, plane: nudged(panel.plane, tilt!, turn!) })),
      air,
    ),
  );
  return [
    between('air', airs),
    between('warmth', warm),
    { of: 'label', low: LABEL_PCT / 100, high: LABEL_PCT / 100 },
    { of: 'dirt', low: DIRT_PCT / 100, high: DIRT_PCT / 100 },
    between('plane', aside),
  ];
}

/** Past flat it leans to the other side. */
function nudged({ tiltDeg, azimuthDeg }: Plane, tilt: number, turn: number): Plane {
  const to = tiltDeg + tilt;
  return {
    tiltDeg: Math.min(90, Math.abs(to)),
    azimuthDeg: (azimuthDeg + turn + (to < 0 ? 180 : 0) + 360) % 360,
  };
}
