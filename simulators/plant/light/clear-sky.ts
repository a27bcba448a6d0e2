/**
 * A clear sky: simplified Solis.
 * Source: P. Ineichen, "A broadband simplified version of the Solis clear sky model", Solar Energy 82 (2008) 758-762;
 * stated accuracy 15, 20 and 18 W/m² for beam, global and diffuse. Aerosol optical depth at 700 nm 0.05-0.45, water
 * 0.2-10 cm. Deliberately not the model the agent inverts with.
 */

export interface Irradiance {
  /** Beam on a plane facing the sun, W/m². */
  beamWm2: number;
  /** From the sky dome on a level plane, W/m². */
  diffuseWm2: number;
  /** All on a level plane, W/m². */
  globalWm2: number;
}

const SEA_LEVEL_PA = 101_325;

/**
 * Extinctions and exponents of one day's air; `sinE` is the sine of the sun's apparent elevation.
 * @param pressurePa of the air at the place; sea level by default
 */
export function solis(aerosol: number, waterCm: number, pressurePa = SEA_LEVEL_PA) {
  const a = aerosol;
  const w = waterCm;
  const ln = Math.log(w);
  const p = Math.log(pressurePa / SEA_LEVEL_PA);
  const enhanced = 0.12 * w ** 0.56 * a * a + 0.97 * w ** 0.032 * a + 1.08 * w ** 0.0051 + 0.071 * p;
  const τb =
    (1.82 + 0.056 * ln + 0.0071 * ln * ln) * a + 0.33 + 0.045 * ln + 0.0096 * ln * ln + (0.0089 * w + 0.13) * p;
  const b = (0.00925 * a * a + 0.0148 * a - 0.0172) * ln - 0.7565 * a * a + 0.5057 * a + 0.4557;
  const τg = (1.24 + 0.047 * ln + 0.0061 * ln * ln) * a + 0.27 + 0.043 * ln + 0.009 * ln * ln + (0.0079 * w + 0.1) * p;
  const g = -0.0147 * ln - 0.3079 * a * a + 0.2846 * a + 0.3798;
  const τd =
    (11.6 - 0.21 * w) * a ** 4 +
    (0.27 * w - 20.7) * a ** 3 +
    (15.5 - 0.134 * w) * a * a +
    (0.0554 * w - 5.71) * a +
    0.0057 * w +
    2.94 -
    0.71 * (1 + a) ** -15 * p;
  const d = -0.337 * a * a + 0.63 * a + 0.116 + p / (18 + 152 * a);
  return (sinE: number, extraterrestrialWm2: number): Irradiance => {
    if (sinE <= 0) return { beamWm2: 0, diffuseWm2: 0, globalWm2: 0 };
    const top = extraterrestrialWm2 * enhanced;
    return {
      beamWm2: top * Math.exp(-τb / sinE ** b),
      diffuseWm2: top * Math.exp(-τd / sinE ** d),
      globalWm2: top * Math.exp(-τg / sinE ** g) * sinE,
    };
  };
}
