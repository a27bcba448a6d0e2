/**
 * The angle between the sun and what a plane looks at. Degrees; azimuths clockwise from true north.
 *
 * M. Iqbal, An Introduction to Solar Radiation (1983), as in I. Reda and A. Andreas, NREL/TP-560-34302 (2008), eq. 47 (number from memory).
 */

const RAD = Math.PI / 180;

/** How a plane stands: 0 flat, 90 upright; looking towards this azimuth. */
export interface Plane {
  tiltDeg: number;
  azimuthDeg: number;
}

/** Cosine of the angle of incidence; negative where the sun is behind the plane. */
export function cosIncidence(zenithDeg: number, sunAzimuthDeg: number, { tiltDeg, azimuthDeg }: Plane): number {
  return (
    Math.cos(zenithDeg * RAD) * Math.cos(tiltDeg * RAD) +
    Math.sin(zenithDeg * RAD) * Math.sin(tiltDeg * RAD) * Math.cos((sunAzimuthDeg - azimuthDeg) * RAD)
  );
}

/** Angle of incidence, degrees, 0 to 180. */
export const incidenceDeg = (zenithDeg: number, sunAzimuthDeg: number, plane: Plane): number =>
  Math.acos(Math.max(-1, Math.min(1, cosIncidence(zenithDeg, sunAzimuthDeg, plane)))) / RAD;
