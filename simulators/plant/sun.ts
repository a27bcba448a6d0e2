/**
 * Where the sun stands, to a few hundredths of a degree in declination and half a minute in time: enough to make a sky.
 * Source: J. W. Spencer, "Fourier series representation of the position of the sun", Search 2 (1971) 172.
 * The direction is a unit vector {east, north, up}; no refraction.
 */

export interface SunDirection {
  east: number;
  north: number;
  /** Sine of the elevation. */
  up: number;
  /** Beam outside the atmosphere, W/m². */
  extraterrestrialWm2: number;
}

export interface Place {
  readonly latitudeDeg: number;
  readonly longitudeDeg: number;
}

const SOLAR_CONSTANT_WM2 = 1361;
const DAY_MS = 86_400_000;
const RAD = Math.PI / 180;

/** Declination δ (rad), equation of time (minutes), and (mean distance / distance)², of day angle Γ (rad). */
function spencer(gamma: number) {
  const [c1, s1, c2, s2] = [Math.cos(gamma), Math.sin(gamma), Math.cos(2 * gamma), Math.sin(2 * gamma)];
  const [c3, s3] = [Math.cos(3 * gamma), Math.sin(3 * gamma)];
  return {
    declination:
      0.006918 - 0.399912 * c1 + 0.070257 * s1 - 0.006758 * c2 + 0.000907 * s2 - 0.002697 * c3 + 0.00148 * s3,
    equationMin: 229.18 * (0.000075 + 0.001868 * c1 - 0.032077 * s1 - 0.014615 * c2 - 0.040849 * s2),
    distance: 1.00011 + 0.034221 * c1 + 0.00128 * s1 + 0.000719 * c2 + 0.000077 * s2,
  };
}

/** Declination moves a sixtieth of a degree an hour at most: worked out once for each ten minutes. */
const SLOW_MS = 600_000;

/** Days since the start of the UTC year, with fraction. */
function dayOfYear(ms: number): number {
  const yearStartMs = Date.UTC(new Date(ms).getUTCFullYear(), 0, 1);
  return (ms - yearStartMs) / DAY_MS;
}

/** The sun over a place (degrees, north and east positive): its direction at an instant, epoch ms. */
export function createSun(place: Place): (ms: number) => SunDirection {
  const φ = place.latitudeDeg * RAD;
  let slot = Number.NaN;
  let terms = spencer(0);
  return ms => {
    if (Math.floor(ms / SLOW_MS) !== slot) {
      slot = Math.floor(ms / SLOW_MS);
      terms = spencer((2 * Math.PI * dayOfYear((slot + 0.5) * SLOW_MS)) / 365);
    }
    const δ = terms.declination;
    const solarMinutes = (ms % DAY_MS) / 60_000 + 4 * place.longitudeDeg + terms.equationMin;
    // Hour angle: 0 at noon, positive in the afternoon.
    const ω = (solarMinutes / 4 - 180) * RAD;
    const cosδ = Math.cos(δ);
    return {
      east: -cosδ * Math.sin(ω),
      north: Math.sin(δ) * Math.cos(φ) - cosδ * Math.cos(ω) * Math.sin(φ),
      up: Math.sin(φ) * Math.sin(δ) + Math.cos(φ) * cosδ * Math.cos(ω),
      extraterrestrialWm2: SOLAR_CONSTANT_WM2 * terms.distance,
    };
  };
}
