/**
 * The clear sky at whole ten minutes, remembered from one refresh to the next: eight days of it are asked for every ten
 * seconds, and a sky over tilted panels takes its time. W/m²; some 14 kB a station.
 */

/** The clear sky bends little within so long, min. */
export const KNOT_MIN = 10;
const MINUTE_MS = 60_000;
/** Eight days and a little: what is older gives way to what is asked for now. */
const KEPT = 8 * 144 + 8;
const NONE = -(2 ** 31);

export interface SkyKnots {
  /** The clear sky at a whole knot, minutes since the epoch; another `clearWm2` than before forgets what was remembered. */
  over(clearWm2: (atMs: number) => number): (minute: number) => number;
}

export function createSkyKnots(): SkyKnots {
  const knots = new Int32Array(KEPT);
  const wm2 = new Float64Array(KEPT);
  let known: ((atMs: number) => number) | null = null;
  return {
    over(clearWm2) {
      if (clearWm2 !== known) knots.fill(NONE);
      known = clearWm2;
      return minute => {
        const knot = Math.floor(minute / KNOT_MIN);
        const place = ((knot % KEPT) + KEPT) % KEPT;
        if (knots[place] !== knot) {
          wm2[place] = clearWm2(minute * MINUTE_MS);
          knots[place] = knot;
        }
        return wm2[place]!;
      };
    },
  };
}
