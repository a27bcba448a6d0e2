/**
 * Chance that is the same for the same seed (mulberry32: one 32-bit state, a multiply-and-shift mix).
 */

export interface Chance {
  /** A whole number from 0 to `below` - 1. */
  whole(below: number): number;
  bytes(count: number): Uint8Array;
}

export function createChance(seed: number): Chance {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32;
  };
  const whole = (below: number): number => Math.floor(next() * below);
  return { whole, bytes: count => Uint8Array.from({ length: count }, () => whole(256)) };
}

/** Pieces of one, a few or many bytes that make up the whole. */
export function cutUp(bytes: Uint8Array, chance: Chance): Uint8Array[] {
  const pieces: Uint8Array[] = [];
  const most = [1, 4, 64, 1024][chance.whole(4)]!;
  for (let from = 0; from < bytes.length; ) {
    const to = from + 1 + chance.whole(most);
    pieces.push(bytes.slice(from, to));
    from = to;
  }
  return pieces;
}

/** The bytes with something wrong: a bit turned, a byte lost, doubled or put in, an end cut off. */
export function spoil(bytes: Uint8Array, chance: Chance): Uint8Array {
  const at = chance.whole(Math.max(1, bytes.length));
  const before = [...bytes.subarray(0, at)];
  const here = bytes[at] ?? 0;
  const after = [...bytes.subarray(at + 1)];
  const middle = [[here ^ (1 << chance.whole(8))], [], [here, here], [chance.whole(256), here]];
  const kind = chance.whole(5);
  return Uint8Array.from(kind === 4 ? before : [...before, ...middle[kind]!, ...after]);
}
