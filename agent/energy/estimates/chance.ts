/**
 * Draws from a seed: the same seed gives the same draws on every machine. The generator is sfc32 (C. Doty-Humphrey,
 * PractRand; public domain), 2^127 long on average, started as its author recommends.
 */

export interface Chance {
  /** Uniform in [0, 1). */
  uniform(): number;
  /** Standard normal (G. Box, M. Muller, Ann. Math. Stat. 29 (1958) 610, eq. 1). */
  normal(): number;
}

export function createChance(seed: number): Chance {
  let a = 0;
  let b = seed | 0;
  let c = Math.trunc(seed / 0x1_0000_0000) | 0;
  let counter = 1;
  const next = (): number => {
    const t = (((a + b) | 0) + counter) | 0;
    counter = (counter + 1) | 0;
    a = b ^ (b >>> 9);
    b = (c + (c << 3)) | 0;
    c = (c << 21) | (c >>> 11);
    c = (c + t) | 0;
    return (t >>> 0) / 0x1_0000_0000;
  };
  for (let i = 0; i < 15; i++) next();
  const normal = () => Math.sqrt(-2 * Math.log(1 - next())) * Math.cos(2 * Math.PI * next());
  return {
    uniform: next,
    normal,
  };
}
