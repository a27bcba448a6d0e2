/**
 * The clear sky of P. Ineichen and R. Perez, A new airmass independent formulation for the Linke turbidity coefficient,
 * Solar Energy 73 (2002) 151-157, eq. 6-8 (numbers from memory); the bound on the beam is of R. Perez et al., Solar
 * Energy 73 (2002) 307-317.
 *
 * Irradiances in W/m². A fixed turbidity leaves a day's total within some 10 % of a real clear day, the beam within
 * 20 %. The altitude terms overshoot high up: who asks for a place's sky caps the altitude (`sky.ts`), this law does not.
 */

const RAD = Math.PI / 180;

/** Level-plane total, beam on a plane that faces the sun, and diffuse on the level plane. */
export interface Irradiance {
  ghiWm2: number;
  dniWm2: number;
  dhiWm2: number;
}

/**
 * @param zenithDeg apparent zenith angle, refraction included
 * @param airMass absolute air mass (pressure taken into account)
 * @param turbidity Linke turbidity at air mass 2: 2 very clear, 3 temperate, 5 humid or dusty
 * @param altitudeM above the sea
 * @param extraWm2 normal irradiance outside the air
 */
export function ineichen(
  zenithDeg: number,
  airMass: number,
  turbidity: number,
  altitudeM: number,
  extraWm2: number,
): Irradiance {
  if (zenithDeg > 90) return { ghiWm2: 0, dniWm2: 0, dhiWm2: 0 };
  const cosZ = Math.cos(zenithDeg * RAD);
  const fh1 = Math.exp(-altitudeM / 8000);
  const fh2 = Math.exp(-altitudeM / 1250);
  const cg1 = 5.09e-5 * altitudeM + 0.868;
  const cg2 = 3.92e-5 * altitudeM + 0.0387;

  const perCosZ = cg1 * extraWm2 * Math.exp(-cg2 * airMass * (fh1 + fh2 * (turbidity - 1))); // GHI / cos z
  const b = 0.664 + 0.163 / fh1;
  const beam = b * extraWm2 * Math.exp(-0.09 * airMass * (turbidity - 1));
  const beamAtMost = perCosZ * Math.max(0, 1 - (0.1 - 0.2 * Math.exp(-turbidity)) / (0.1 + 0.882 / fh1));

  const ghiWm2 = perCosZ * cosZ;
  const dniWm2 = Math.min(beam, beamAtMost);
  return { ghiWm2, dniWm2, dhiWm2: ghiWm2 - dniWm2 * cosZ };
}
