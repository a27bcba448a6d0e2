/** What `wattkeep aim` says: its help and its lines for a reader. */
import type { Aim } from '#energy/aiming';

export const AIM_HELP = `usage: wattkeep aim --at LAT,LON --time INSTANT [options] [--json]

Where the sun stands, what a clear sky gives, what your panel would make of it, how it would stand best now and if left
alone for the rest of the day, what turning it once more gains, and the shadow of an upright peg.

  --at LAT,LON      degrees, north and east positive: --at 46.05,7.1 or --at -35,149
  --time INSTANT    ISO 8601 with an offset, 2026-06-21T10:00:00+02:00, or milliseconds since 1970
  --zone ZONE       zone of the civil day, such as Europe/Lisbon; else the offset of the instant
  --tilt DEG        how the panel stands: 0 flat (the default) to 90 upright
  --azimuth DEG     where it looks, clockwise from true north; the equator's side where not given
  --peak-w W        rating of the panels; 100 where not given
  --altitude-m M    above the sea; 0 where not given
  --turbidity TL    haze of the air: 2 dry or high, 3 temperate (the default), 5 humid or dusty
  --json            for programs

Irradiance is a clear sky's, on the plane before reflection at the panel's cover. The watts take 20 °C air, no wind, a
panel that loses 0.4 % a kelvin, and 7.7 % of losses; without clouds expect them within some 15 %. Refraction is that of
the altitude's pressure and 10 °C air. Above 2500 m the clear sky is that of 2500 m.

example: wattkeep aim --at 46.05,7.1 --time 2026-06-21T10:00:00+02:00 --tilt 35 --azimuth 160 --peak-w 270
`;

const COMPASS = ['north', 'north-east', 'east', 'south-east', 'south', 'south-west', 'west', 'north-west'];
export const toward = (azimuthDeg: number) =>
  `${Math.round(azimuthDeg) % 360}° (${COMPASS[Math.round(azimuthDeg / 45) % 8]})`;
export const plane = (p: { tiltDeg: number; azimuthDeg: number }) =>
  Math.round(p.tiltDeg) === 0 ? 'flat' : `tilt ${Math.round(p.tiltDeg)}°, looking to ${toward(p.azimuthDeg)}`;
const time = (iso: string | null) => (iso === null ? 'none' : iso.slice(11, 16));

const day = (rise: string | null, set: string | null, polar: Aim['polar']) => {
  if (polar === 'up') return 'the sun stays up all day';
  if (polar === 'down') return 'the sun stays down all day';
  return `sunrise ${time(rise)}, sunset ${time(set)}`;
};

/** @param sunrise, sunset local ISO, null where the day has none */
export function aimLines(at: string, aim: Aim, sunrise: string | null, sunset: string | null, peakW: number): string {
  const { sun, clearSky, bestNow, bestRestOfDay } = aim;
  const dark = clearSky.ghiWm2 <= 0;
  const left = Math.round(bestRestOfDay.energyWhM2);
  return [
    at,
    `sun           ${sun.apparentElevationDeg.toFixed(1)}° ${dark ? 'high, below the horizon' : 'high'}, at ${toward(sun.azimuthDeg)}; ` +
      day(sunrise, sunset, aim.polar),
    `clear sky     ${Math.round(clearSky.ghiWm2)} W/m² on the level, beam ${Math.round(clearSky.dniWm2)}, diffuse ${Math.round(clearSky.dhiWm2)}`,
    `on the plane  ${Math.round(aim.planeOfArrayWm2)} W/m², about ${Math.round(aim.expectedPowerW)} W of ${peakW} W`,
    `best now      ${dark ? 'nothing to aim at' : plane(bestNow)}`,
    `best till midnight, left alone  ${left === 0 ? 'nothing more to come' : `${plane(bestRestOfDay)}: ${left} Wh/m²`}`,
    '',
  ].join('\n');
}
