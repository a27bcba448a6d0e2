/**
 * What a station's solar port takes of what panels offer, W. A current above the port's rating is drawn only as far as
 * the port wants it; a voltage above its rating can destroy it, so nothing is called delivered there. Own judgement on
 * common practice, no source; the port's manual decides.
 */

/** null where the manual does not say. */
export interface PortLimits {
  minV: number | null;
  maxV: number | null;
  maxA: number | null;
  maxW: number | null;
}

/** `tooHigh`: the open-circuit voltage is above the port's limit; `tooLow`: the port does not start. */
export type LimitedBy = 'nothing' | 'watts' | 'amps' | 'tooLow' | 'tooHigh';

export interface Delivered {
  powerW: number;
  limitedBy: LimitedBy;
}

/**
 * @param offeredW power of the panels at their maximum power point
 * @param operatingV voltage there
 * @param openCircuitV voltage of the panels with nothing connected
 */
export function delivered(offeredW: number, operatingV: number, openCircuitV: number, port: PortLimits): Delivered {
  if (port.maxV !== null && openCircuitV > port.maxV) return { powerW: 0, limitedBy: 'tooHigh' };
  if (port.minV !== null && operatingV < port.minV) return { powerW: 0, limitedBy: 'tooLow' };
  const byAmpsW = port.maxA === null ? Number.POSITIVE_INFINITY : port.maxA * operatingV;
  const byWattsW = port.maxW ?? Number.POSITIVE_INFINITY;
  const powerW = Math.max(0, Math.min(offeredW, byAmpsW, byWattsW));
  if (powerW >= offeredW) return { powerW, limitedBy: 'nothing' };
  return { powerW, limitedBy: byAmpsW < byWattsW ? 'amps' : 'watts' };
}
