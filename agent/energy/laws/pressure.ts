/**
 * Air pressure at an altitude in the standard atmosphere, Pa.
 *
 * A Quick Derivation Relating Altitude to Air Pressure, Portland State Aerospace Society (2004), its last equation, on
 * the constants of the U.S. Standard Atmosphere (1976).
 */

/** Standard pressure at sea level, Pa. */
export const SEA_LEVEL_PA = 101_325;

/** Pressure, Pa, at an altitude above the sea, m (below 44 km). */
export const pressurePa = (altitudeM: number): number =>
  100 * ((44_331.514 - altitudeM) / 11_880.516) ** (1 / 0.1902632);
