/**
 * What a lead of two copper conductors takes: ΔV = 2 ℓ ρ I / A, P = ΔV × I.
 *
 * Resistivity of annealed copper 1/58 Ω mm²/m at 20 °C, 0.393 %/K: IEC 60028 (1925), clauses 3 and 4.
 */

const COPPER_20C = 1 / 58;
const COPPER_PER_K = 0.00393;
/** A lead in the sun, °C (own judgement). */
const WARM_C = 50;

export interface LeadLoss {
  voltsLost: number;
  wattsLost: number;
}

/** Resistance there and back, Ω. @param lengthM one way, @param conductorMm2 of each conductor */
export const leadOhm = (lengthM: number, conductorMm2: number, tempC = WARM_C): number =>
  (2 * lengthM * COPPER_20C * (1 + COPPER_PER_K * (tempC - 20))) / conductorMm2;

/** What is lost at a current, V and W. */
export function leadLoss(lengthM: number, conductorMm2: number, currentA: number): LeadLoss {
  const voltsLost = leadOhm(lengthM, conductorMm2) * currentA;
  return { voltsLost, wattsLost: voltsLost * currentA };
}
