/**
 * Who feeds whom in one step: sun first, then the wall, then the pack; what nobody can take is left on the panel.
 * Powers in W and never negative, except `packW` (charging positive).
 */

export interface Demand {
  /** What the panels could give at the port before its limit. */
  readonly sunOfferW: number;
  readonly portMaxW: number;
  /** Wall power the charger may take; 0 without mains. */
  readonly wallOfferW: number;
  /** Everything the battery side must give: converter, DC outlets, own electronics. */
  readonly busW: number;
  /** Most the pack takes. */
  readonly acceptW: number;
  readonly tooCold: boolean;
  /** Share of solar and wall power that arrives behind their converters. */
  readonly trackerShare: number;
  readonly chargerShare: number;
}

export type InputLimit = 'nothing' | 'full' | 'port' | 'cold';

export interface Balance {
  readonly solarW: number;
  readonly chargerW: number;
  readonly packW: number;
  readonly limit: InputLimit;
  /** Lost between ports and battery side. */
  readonly lostW: number;
}

/** Settles one step. */
export function balance(d: Demand): Balance {
  const roomW = d.acceptW + d.busW;
  const atPortW = Math.min(d.sunOfferW, d.portMaxW);
  const solarW = Math.min(atPortW, roomW / d.trackerShare);
  const leftW = Math.max(0, roomW - solarW * d.trackerShare);
  const chargerW = Math.min(d.wallOfferW, leftW / d.chargerShare);
  const arrivingW = solarW * d.trackerShare + chargerW * d.chargerShare;
  return {
    solarW,
    chargerW,
    packW: arrivingW - d.busW,
    limit: limitOf(d, solarW, atPortW),
    lostW: solarW + chargerW - arrivingW,
  };
}

function limitOf(d: Demand, solarW: number, atPortW: number): InputLimit {
  if (solarW < atPortW - 0.05) return d.tooCold ? 'cold' : 'full';
  return d.sunOfferW > d.portMaxW ? 'port' : 'nothing';
}
