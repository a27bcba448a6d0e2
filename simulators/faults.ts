/**
 * What cables, radios and firmware do to frames: drop, garble, delay, duplicate, halve, drift, unplug, and bursts of
 * garbage or of far too many frames. A fault maps one piece (a frame's bytes and when it leaves) to the pieces that
 * really leave; faults compose; chance comes in as a function, so a run repeats by its seed.
 */

export interface Piece {
  readonly bytes: Uint8Array;
  /** ms after the moment it was due. */
  readonly afterMs: number;
  /** Leaves regardless of the line's speed, as from a USB device whose baud rate is only a name. */
  readonly unpaced?: true;
}

/** `atMs`: when the frame was due, on any clock that does not go back. */
export type Fault = (piece: Piece, atMs: number) => readonly Piece[];
/** Uniform in [0, 1). */
export type Random = () => number;

/** Frames pass through the faults from first to last. */
export const composeFaults =
  (faults: readonly Fault[]): Fault =>
  (piece, atMs) =>
    faults.reduce<readonly Piece[]>((pieces, fault) => pieces.flatMap(p => fault(p, atMs)), [piece]);

/** Each frame is lost with probability `share`. */
export const drop =
  (random: Random, share: number): Fault =>
  piece =>
    random() < share ? [] : [piece];

/** Each byte is replaced by any other with probability `share`. */
export const garble =
  (random: Random, share: number): Fault =>
  piece => {
    const bytes = piece.bytes.map(b => (random() < share ? (b + 1 + Math.floor(random() * 255)) & 0xff : b));
    return [{ ...piece, bytes }];
  };

/** Each frame leaves later by up to `maxMs`; order may change. */
export const delay =
  (random: Random, maxMs: number): Fault =>
  piece => [{ ...piece, afterMs: piece.afterMs + random() * maxMs }];

/** Each frame leaves `lateMs` later with probability `share`: after those that were due in between. */
export const late =
  (random: Random, share: number, lateMs: number): Fault =>
  piece =>
    random() < share ? [{ ...piece, afterMs: piece.afterMs + lateMs }] : [piece];

/** Each frame leaves twice with probability `share`. */
export const duplicate =
  (random: Random, share: number): Fault =>
  piece =>
    random() < share ? [piece, piece] : [piece];

/** Each frame is cut somewhere inside with probability `share`; the rest, its end included, is lost. */
export const halve =
  (random: Random, share: number): Fault =>
  piece => {
    if (random() >= share) return [piece];
    return [{ ...piece, bytes: piece.bytes.subarray(0, 1 + Math.floor(random() * (piece.bytes.length - 1))) }];
  };

/** A meter that loses its calibration: the numbers under `key` in a JSON line grow by `pctPerHour` of themselves. */
export function drift(key: string, pctPerHour: number): Fault {
  const pattern = new RegExp(`("${key.replace(/[^\w.]/g, '')}":)(-?[0-9.]+)`);
  let sinceMs: number | null = null;
  return (piece, atMs) => {
    sinceMs ??= atMs;
    const factor = 1 + ((pctPerHour / 100) * (atMs - sinceMs)) / 3_600_000;
    const line = new TextDecoder().decode(piece.bytes);
    const bent = line.replace(
      pattern,
      (_, name: string, value: string) => `${name}${+(Number(value) * factor).toFixed(2)}`,
    );
    return [{ ...piece, bytes: new TextEncoder().encode(bent) }];
  };
}

/** The cable is out from `fromMs` to `toMs` (of `atMs`): nothing passes. */
export const unplug =
  (fromMs: number, toMs: number): Fault =>
  (piece, atMs) =>
    atMs >= fromMs && atMs < toMs ? [] : [piece];

const NOISE_BYTES = 65_536;
/** Garbage arrives as fast as a quick USB device could send it. */
const NOISE_BYTES_PER_MS = 40_000;

/** `count` bytes of noise, in pieces that share one block of it: a gigabyte needs no gigabyte here. */
export function garbage(random: Random, count: number): Piece[] {
  const block = new Uint8Array(Math.min(NOISE_BYTES, count)).map(() => Math.floor(random() * 256));
  return Array.from({ length: Math.ceil(count / NOISE_BYTES) }, (_, k) => ({
    bytes: block.subarray(0, Math.min(NOISE_BYTES, count - k * NOISE_BYTES)),
    afterMs: (k * NOISE_BYTES) / NOISE_BYTES_PER_MS,
    unpaced: true,
  }));
}

/** The same frame `hz` times a second for `seconds`, in batches of 10 ms. */
export function flood(frame: Uint8Array, hz: number, seconds: number): Piece[] {
  const perBatch = Math.max(1, Math.round(hz / 100));
  const batch = new Uint8Array(frame.length * perBatch);
  for (let k = 0; k < perBatch; k++) batch.set(frame, k * frame.length);
  const batches = Math.round((hz * seconds) / perBatch);
  return Array.from({ length: batches }, (_, k) => ({
    bytes: batch,
    afterMs: (k * perBatch * 1000) / hz,
    unpaced: true,
  }));
}

/** A repeatable source of chance (the generator of G. Marsaglia, xorshift32, J. Stat. Softw. 8 (2003) 14). */
export function seededRandom(seed: number): Random {
  let x = (Math.imul(seed | 0, 0x9e3779b1) ^ 0x5bd1e995) | 0 || 1;
  return () => {
    x ^= x << 13;
    x ^= x >>> 17;
    x ^= x << 5;
    return (x >>> 0) / 4294967296;
  };
}

/** Faults as they are written on the command line: name, and what its numbers mean. */
export const FAULT_WORDS: Record<string, { args: string; make: (random: Random, args: readonly string[]) => Fault }> = {
  drop: { args: 'SHARE', make: (random, [share]) => drop(random, Number(share)) },
  garble: { args: 'SHARE', make: (random, [share]) => garble(random, Number(share)) },
  delay: { args: 'MAX_MS', make: (random, [ms]) => delay(random, Number(ms)) },
  late: { args: 'SHARE,MS', make: (random, [share, ms]) => late(random, Number(share), Number(ms)) },
  duplicate: { args: 'SHARE', make: (random, [share]) => duplicate(random, Number(share)) },
  halve: { args: 'SHARE', make: (random, [share]) => halve(random, Number(share)) },
  drift: { args: 'QUANTITY,PCT_PER_HOUR', make: (_, [key, pct]) => drift(key ?? '', Number(pct)) },
};

/** Reads `drop=0.1` or `drift=solarPowerW,20`. Gives null where the word is unknown or a number is missing. */
export function faultFromText(random: Random, text: string): Fault | null {
  const [word = '', rest = ''] = text.split('=');
  const row = Object.hasOwn(FAULT_WORDS, word) ? FAULT_WORDS[word] : undefined;
  const args = rest.split(',');
  if (row === undefined || args.length !== row.args.split(',').length) return null;
  const numbers = word === 'drift' ? args.slice(1) : args;
  return numbers.every(n => n !== '' && Number.isFinite(Number(n))) ? row.make(random, args) : null;
}
