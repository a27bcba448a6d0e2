/**
 * Who feeds whom in one step: sun first, then the wall, then the pack; what nobody can take stays outside.
 * Powers in W and never negative, except `packW` (charging positive).
 */

export interface Shares {
  /** Of solar and wall power, what arrives behind their converters. */
  readonly trackerShare: number;
  readonly chargerShare: number;
}

/** Most that may come in from the sun while `busW` is drawn and the pack takes `acceptW`, W at the port. */
export const roomForSunW = (busW: number, acceptW: number, shares: Shares): number =>
  (busW + acceptW) / shares.trackerShare;

export interface Balance {
  readonly chargerW: number;
  readonly packW: number;
  /** Lost between ports and battery side. */
  readonly lostW: number;
}

/** Settles one step. `solarW` is what the port brings in, `wallOfferW` what the charger may take from the wall. */
export function balance(solarW: number, wallOfferW: number, busW: number, acceptW: number, shares: Shares): Balance {
  const sunW = solarW * shares.trackerShare;
  const leftW = Math.max(0, acceptW + busW - sunW);
  const chargerW = Math.min(wallOfferW, leftW / shares.chargerShare);
  const arrivingW = sunW + chargerW * shares.chargerShare;
  return { chargerW, packW: arrivingW - busW, lostW: solarW + chargerW - arrivingW };
}
