/** Tilt and turn as a person sets them: what was typed as degrees, the rise of one metre of panel, the wind it faces. Pure. */

/** Degrees typed, with a point or a comma; null where nothing was, undefined where it is no number from 0 to `most`. */
export function degreesOf(text: string, most: number): number | null | undefined {
  const clean = text.replace(/[°\s]/g, '').replace(',', '.');
  if (clean === '') return null;
  const deg = /^\d{1,3}(\.\d+)?$/.test(clean) ? Number(clean) : Number.NaN;
  return deg >= 0 && deg <= most ? deg : undefined;
}

/** How far the upper edge of one metre of panel stands above the lower, cm: sin of the tilt. */
export const riseCm = (tiltDeg: number): number => 100 * Math.sin((tiltDeg * Math.PI) / 180);

/** Index of the nearest of sixteen winds, clockwise from north. */
export const windOf = (azimuthDeg: number): number => Math.round(azimuthDeg / 22.5) % 16;
