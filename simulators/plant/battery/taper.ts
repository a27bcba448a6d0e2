/**
 * How the charge current falls near full: a measured charge of a real 12.8 V lithium iron phosphate bank, constant
 * current to 90 % and constant voltage to the cut (W. K. Collis, CC BY 4.0; 79 A, logged every 2 s), as shares of charge
 * and of the full current.
 */

const CHARGE = [0.9, 0.908, 0.9177, 0.9266, 0.9346, 0.9499, 0.9609, 0.9716, 0.981, 0.9893, 0.9943, 0.9976, 1] as const;
const CURRENT = [1, 0.922, 0.801, 0.754, 0.686, 0.542, 0.503, 0.44, 0.39, 0.333, 0.241, 0.157, 0.081] as const;

/** Share of the full charge current accepted at a charge, 0..1. */
export function taperShare(charge: number): number {
  if (charge <= CHARGE[0]) return 1;
  let k = 0;
  while (k < CHARGE.length - 2 && CHARGE[k + 1]! < charge) k++;
  const along = Math.min(1, (charge - CHARGE[k]!) / (CHARGE[k + 1]! - CHARGE[k]!));
  return CURRENT[k]! + (CURRENT[k + 1]! - CURRENT[k]!) * along;
}
