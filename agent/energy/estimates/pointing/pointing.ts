/**
 * Where to point: the sun, the best plane now and for the rest of the civil day with what it gathers, turning once more,
 * a peg's shadow, and the watts to be expected as the panels stand. All of a clear sky; under an even grey one flat is
 * best. Energies are of these panels, behind losses and the port's limit.
 */
import { bestPlaneNow } from '../../laws/best-plane.ts';
import type { Plane } from '../../laws/incidence.ts';
import { sunEvents } from '../../laws/sun-events.ts';
import { panelsOf } from '../../panel-power.ts';
import { clearSkyOver } from '../../sky.ts';
import type { Pointing, PointingAsked, RestOfDay } from './asked.ts';
import { bestLeft } from './best-left.ts';
import { expectedBand, faced, panelsFor, panelsTogether } from './expected.ts';
import { gatheredWh, type LightLeft, lightLeft, offeredW, stepOf, type Takes } from './light-left.ts';
import { pegShadow } from './peg.ts';
import { turningsOf } from './turnings.ts';

const TWO_DAYS_MS = 2 * 86_400_000;
const HOUR_MS = 3_600_000;
/** Where no panels are told, energies are of so many watts. */
const UNTOLD_W = 100;

/** @throws nothing; `atMs` outside `day` gives a rest of the day of that much. */
export function pointing(asked: PointingAsked): Pointing {
  const { atMs, place, day } = asked;
  const sky = clearSkyOver(place)(atMs);
  const { events, polar } = sunEvents(day.startMs, day.endMs, place.latitudeDeg, place.longitudeDeg);
  const ahead = sunEvents(atMs, atMs + TWO_DAYS_MS, place.latitudeDeg, place.longitudeDeg).events;
  const lit = sky.ghiWm2 > 0;
  return {
    sun: sky.sun,
    sunriseAt: events.find(event => event.kind === 'sunrise')?.at ?? null,
    sunsetAt: events.findLast(event => event.kind === 'sunset')?.at ?? null,
    nextSunriseAt: ahead.find(event => event.kind === 'sunrise')?.at ?? null,
    polar,
    bestNow: lit ? bestPlaneNow(stepOf(sky)) : null,
    panelsW: panelsTogether(asked.panels)?.peakW ?? null,
    restOfDay: restOfDay(asked, lit ? atTheSun(sky.apparentZenithDeg, sky.sun.azimuthDeg) : null),
    shadow: pegShadow(sky.sun.apparentElevationDeg, sky.sun.azimuthDeg),
    expected: expectedBand(asked),
  };
}

const atTheSun = (zenithDeg: number, azimuthDeg: number): Plane => ({ tiltDeg: Math.min(90, zenithDeg), azimuthDeg });

function restOfDay(asked: PointingAsked, sunward: Plane | null): RestOfDay | null {
  const { atMs, place, day, air, portMaxW } = asked;
  const panels = panelsTogether(asked.panels) ?? panelsOf(UNTOLD_W);
  const light = lightLeft(atMs, day.endMs, place);
  if (light.at.length === 0) return null;
  const takes = { panels, air, portMaxW };
  const best = bestLeft(light, takes);
  const bestWh = gatheredWh(light, best, takes);
  return {
    best,
    bestWh,
    flatWh: gatheredWh(light, { tiltDeg: 0, azimuthDeg: 0 }, takes),
    leftAtSunWh: sunward === null ? null : gatheredWh(light, sunward, takes),
    standingWh: standingWh(light, asked, takes),
    turnings: turningsOf(light, takes, day.startMs, bestWh),
  };
}

/** Panels that face several ways share the port. */
function standingWh(light: LightLeft, asked: PointingAsked, takes: Takes): number | null {
  const panels = faced(asked.panels);
  if (panels === null) return null;
  const mostW = takes.portMaxW ?? Number.POSITIVE_INFINITY;
  const kinds = panels.map(panel => ({ plane: panel.plane, takes: { ...takes, panels: panelsFor(panel) } }));
  const watts = light.skies.map(sky =>
    Math.min(
      mostW,
      kinds.reduce((sum, kind) => sum + offeredW(sky, kind.plane, kind.takes), 0),
    ),
  );
  return (watts.reduce((sum, w) => sum + w, 0) * light.stepMs) / HOUR_MS;
}
