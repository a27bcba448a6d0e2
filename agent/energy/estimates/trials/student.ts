/**
 * Quantile of Student's t for any degrees of freedom, not only whole ones, as an effective number of them asks for.
 * G. W. Hill, Algorithm 396, Comm. ACM 13 (1970) 619, from memory; exact for one and two.
 */
import { normalQuantile } from '../normal.ts';

/**
 * @param coverage probability within ±t, 0 to 1
 * @param freedom degrees of freedom, one or more; Infinity: the normal
 */
export function studentFactor(coverage: number, freedom: number): number {
  const p = 1 - coverage;
  if (freedom <= 1) return 1 / Math.tan((p * Math.PI) / 2);
  if (freedom === 2) return Math.sqrt(2 / (p * (2 - p)) - 2);
  if (freedom < 2) {
    // Between the two exact ones, evenly in the inverse.
    const share = 2 / freedom - 1;
    return studentFactor(coverage, 2) * (1 - share) + studentFactor(coverage, 1) * share;
  }
  const n = Math.min(freedom, 1e9);
  const a = 1 / (n - 0.5);
  const b = 48 / (a * a);
  let c = (((20_700 * a) / b - 98) * a - 16) * a + 96.36;
  const d = ((94.5 / (b + c) - 3) / b + 1) * Math.sqrt((a * Math.PI) / 2) * n;
  let y = (d * p) ** (2 / n);
  if (y > 0.05 + a) {
    const x = normalQuantile(p / 2);
    y = x * x;
    if (n < 5) c += 0.3 * (n - 4.5) * (x + 0.6);
    c += (((0.05 * d * x - 5) * x - 7) * x - 2) * x + b;
    y = (((((0.4 * y + 6.3) * y + 36) * y + 94.5) / c - y - 3) / b + 1) * x;
    y = Math.expm1(a * y * y);
  } else {
    const inner = 1 / (((n + 6) / (n * y) - 0.089 * d - 0.822) * (n + 2) * 3) + 0.5 / (n + 4);
    y = ((inner * y - 1) * (n + 1)) / (n + 2) + 1 / y;
  }
  return Math.sqrt(n * y);
}
