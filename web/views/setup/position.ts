/**
 * The browser's own position, asked only when the owner presses the button. What it answers is rounded to a thousandth
 * of a degree (about 100 m), ample for the sun, and goes nowhere but into the form.
 */

export interface Position {
  latitudeDeg: number;
  longitudeDeg: number;
  /** Metres above sea level, where the device knows. */
  altitudeM: number | null;
}

export type PositionAnswer = { ok: true; position: Position } | { ok: false; why: 'refused' | 'unknown' };

/** The parts of a browser's geolocation that are used. */
export interface Locator {
  getCurrentPosition(
    found: (at: { coords: { latitude: number; longitude: number; altitude: number | null } }) => void,
    failed: (error: { code: number }) => void,
    options: { enableHighAccuracy: boolean; timeout: number; maximumAge: number },
  ): void;
}

/** GeolocationPositionError.PERMISSION_DENIED. */
const DENIED = 1;
const WAIT_MS = 20_000;
const OLD_ENOUGH_MS = 3_600_000;

export function askPosition(locator: Locator): Promise<PositionAnswer> {
  const thousandth = (deg: number) => Math.round(deg * 1000) / 1000;
  return new Promise(resolve =>
    locator.getCurrentPosition(
      ({ coords }) =>
        resolve({
          ok: true,
          position: {
            latitudeDeg: thousandth(coords.latitude),
            longitudeDeg: thousandth(coords.longitude),
            altitudeM: coords.altitude === null ? null : Math.round(coords.altitude),
          },
        }),
      ({ code }) => resolve({ ok: false, why: code === DENIED ? 'refused' : 'unknown' }),
      { enableHighAccuracy: false, timeout: WAIT_MS, maximumAge: OLD_ENOUGH_MS },
    ),
  );
}
