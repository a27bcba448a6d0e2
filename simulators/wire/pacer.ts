/**
 * Lets bytes out at a serial line's speed: ten bits a byte (start, eight data, stop). What does not fit the sender's
 * small buffer is lost whole, as a device without flow control loses it. Pure: time comes in, ms on any clock.
 */

export interface Pacer {
  /** False where the buffer is full and the bytes are lost. */
  push(bytes: Uint8Array, nowMs: number): boolean;
  /** The bytes whose time has come, in order. */
  take(nowMs: number): Uint8Array[];
  waitingBytes(): number;
}

/** A byte whose time has come by less than this is not held back by the arithmetic. */
const ROUNDING = 1e-6;
const BUFFER_BYTES = 16_384;

/** A line of `baud` bits a second; 0 means no limit. */
export function createPacer(baud: number): Pacer {
  const bytesPerMs = baud === 0 ? Number.POSITIVE_INFINITY : baud / 10_000;
  const waiting: Uint8Array[] = [];
  let waitingBytes = 0;
  /** Until when the line is busy with what has left. */
  let busyUntilMs = Number.NEGATIVE_INFINITY;
  return {
    push(bytes, nowMs) {
      if (waitingBytes + bytes.length > BUFFER_BYTES) return false;
      if (waitingBytes === 0) busyUntilMs = Math.max(busyUntilMs, nowMs);
      waiting.push(bytes);
      waitingBytes += bytes.length;
      return true;
    },
    take(nowMs) {
      const out: Uint8Array[] = [];
      let allowed =
        bytesPerMs === Number.POSITIVE_INFINITY
          ? waitingBytes
          : Math.floor((nowMs - busyUntilMs) * bytesPerMs + ROUNDING);
      while (waiting.length > 0 && allowed > 0) {
        const head = waiting[0]!;
        const part = head.subarray(0, allowed);
        out.push(part);
        if (part.length === head.length) waiting.shift();
        else waiting[0] = head.subarray(part.length);
        allowed -= part.length;
        waitingBytes -= part.length;
        busyUntilMs += bytesPerMs === Number.POSITIVE_INFINITY ? 0 : part.length / bytesPerMs;
      }
      return out;
    },
    waitingBytes: () => waitingBytes,
  };
}
