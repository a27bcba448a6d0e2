/**
 * One lithium iron phosphate cell at rest: open-circuit voltage over charge, and the energy that lies below a charge.
 * The voltages are those of a real 2 Ah cell discharged at C/20 (About-Energy BPX parameterisation, CC BY-SA 4.0),
 * joined by straight lines. Charge as a share of the full cell, 0..1.
 */

const SHARES = [0, 0.02, 0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1] as const;
const VOLTS = [
  2.0, 2.941, 3.133, 3.176, 3.199, 3.228, 3.258, 3.268, 3.271, 3.283, 3.307, 3.311, 3.314, 3.314, 3.477,
] as const;
/** Volt times share below each corner. */
const BELOW = VOLTS.reduce<number[]>((sums, volts, k) => {
  sums.push(k === 0 ? 0 : sums[k - 1]! + ((volts + VOLTS[k - 1]!) / 2) * (SHARES[k]! - SHARES[k - 1]!));
  return sums;
}, []);

function pieceOf(share: number): number {
  let k = SHARES.length - 2;
  while (k > 0 && SHARES[k]! > share) k--;
  return k;
}

/** Open-circuit voltage of the cell, V. */
export function openCircuitCellV(share: number): number {
  const k = pieceOf(share);
  const along = (share - SHARES[k]!) / (SHARES[k + 1]! - SHARES[k]!);
  return VOLTS[k]! + (VOLTS[k + 1]! - VOLTS[k]!) * Math.min(1, Math.max(0, along));
}

/** Energy below a charge, V (times the cell's Ah: Wh). */
export function energyBelowV(share: number): number {
  const inside = Math.min(1, Math.max(0, share));
  const k = pieceOf(inside);
  return BELOW[k]! + ((VOLTS[k]! + openCircuitCellV(inside)) / 2) * (inside - SHARES[k]!);
}

/** Charge that belongs to a resting voltage on the steep lower end; what a gauge reads there. */
export function shareAtCellV(volts: number): number {
  let k = 0;
  while (k < VOLTS.length - 2 && VOLTS[k + 1]! < volts) k++;
  const along = (volts - VOLTS[k]!) / Math.max(1e-9, VOLTS[k + 1]! - VOLTS[k]!);
  return SHARES[k]! + (SHARES[k + 1]! - SHARES[k]!) * Math.min(1, Math.max(0, along));
}
