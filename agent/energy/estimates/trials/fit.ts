/**
 * Weighted least squares of a few terms (JCGM 100:2008, H.3, has it for a straight line; from memory). What comes out is a
 * matrix that turns observations into coefficients, so that every cause of error of an observation can be followed.
 */

/** Inverse of a small symmetric matrix, by elimination with the largest pivot first; null where it has none. */
function inverseOf(matrix: readonly (readonly number[])[]): number[][] | null {
  const n = matrix.length;
  const rows = matrix.map((row, i) => [...row, ...Array.from({ length: n }, (_, j) => (i === j ? 1 : 0))]);
  for (let c = 0; c < n; c++) {
    let pivot = c;
    for (let r = c + 1; r < n; r++) if (Math.abs(rows[r]![c]!) > Math.abs(rows[pivot]![c]!)) pivot = r;
    const head = rows[pivot]![c]!;
    if (Math.abs(head) < 1e-12) return null;
    [rows[c], rows[pivot]] = [rows[pivot]!, rows[c]!];
    for (let k = 0; k < 2 * n; k++) rows[c]![k]! /= head;
    for (let r = 0; r < n; r++) {
      if (r === c) continue;
      const factor = rows[r]![c]!;
      for (let k = 0; k < 2 * n; k++) rows[r]![k]! -= factor * rows[c]![k]!;
    }
  }
  return rows.map(row => row.slice(n));
}

export interface Fit {
  readonly coefficients: readonly number[];
  /** coefficients = turns × observations. */
  readonly turns: readonly (readonly number[])[];
  readonly residuals: readonly number[];
}

/**
 * @param terms of each observation, such as [1, x, x²]
 * @param deviations of each observation, as far as they are its own
 */
export function fitOf(
  terms: readonly (readonly number[])[],
  observed: readonly number[],
  deviations: readonly number[],
): Fit | null {
  const n = terms[0]?.length ?? 0;
  const weights = deviations.map(u => 1 / u ** 2);
  const normal = Array.from({ length: n }, (_, i) =>
    Array.from({ length: n }, (_, j) => terms.reduce((sum, x, k) => sum + weights[k]! * x[i]! * x[j]!, 0)),
  );
  // Scaled to ones on the diagonal: watts and their squares lie far apart.
  const scale = normal.map((row, i) => 1 / Math.sqrt(row[i]!));
  const inverse = inverseOf(normal.map((row, i) => row.map((value, j) => value * scale[i]! * scale[j]!)));
  if (inverse === null) return null;
  const turns = inverse.map((row, i) =>
    terms.map((x, k) => scale[i]! * weights[k]! * row.reduce((sum, value, j) => sum + value * scale[j]! * x[j]!, 0)),
  );
  const coefficients = turns.map(row => row.reduce((sum, turn, k) => sum + turn * observed[k]!, 0));
  const residuals = observed.map((y, k) => y - terms[k]!.reduce((sum, x, i) => sum + x * coefficients[i]!, 0));
  return { coefficients, turns, residuals };
}
