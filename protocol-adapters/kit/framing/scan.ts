/**
 * Cuts a byte stream whose frames tell their own length in their first bytes. Where what was found is no frame (wrong
 * start, impossible length, failed check) the search goes on one byte later, so a good frame behind noise is not lost.
 * One rejection for each stretch of noise, under the cause it began with. Memory is bounded by the frame ceiling.
 */
import type { Framer } from '../adapter.ts';
import type { RejectionCause } from '../reading.ts';

export interface ScanOptions {
  /** Ceiling on a whole frame, bytes. */
  readonly maxFrameBytes: number;
  /** Bytes every frame begins with. Without them, and with a high ceiling, noise is dear to search. */
  readonly start?: readonly number[];
  /** So many bytes must be there before `frameBytes` is asked. */
  readonly headBytes: number;
  /** Bytes of the whole frame that begins so; 0 where none can. Pure. */
  readonly frameBytes: (head: Uint8Array) => number;
  /** Whether a frame is what was sent, by its checksum. Pure. */
  readonly holds?: (frame: Uint8Array) => boolean;
  /** A silence of so many ms ends a frame that has begun: what is held is then searched for others. */
  readonly idleMs?: number;
}

type OnFrame = (frame: Uint8Array) => void;
type OnReject = (cause: RejectionCause) => void;

class ScanFramer implements Framer {
  declare readonly idleMs?: number;
  readonly #options: ScanOptions;
  readonly #start: readonly number[];
  readonly #headBytes: number;
  readonly #held: Uint8Array;
  #heldBytes = 0;
  /** In noise: it has been told already. */
  #lost = false;

  constructor(options: ScanOptions) {
    const { start = [], headBytes, maxFrameBytes, idleMs } = options;
    this.#options = options;
    this.#start = start;
    this.#headBytes = Math.max(1, headBytes, start.length);
    this.#held = new Uint8Array(Math.max(maxFrameBytes, this.#headBytes));
    if (idleMs !== undefined) this.idleMs = idleMs;
  }

  push(chunk: Uint8Array, onFrame: OnFrame, onReject: OnReject): void {
    let taken = 0;
    while (taken < chunk.length) {
      const part = chunk.subarray(taken, taken + this.#held.length - this.#heldBytes);
      this.#held.set(part, this.#heldBytes);
      this.#heldBytes += part.length;
      taken += part.length;
      this.#drain(onFrame, onReject, false);
    }
  }

  idle(onFrame: OnFrame, onReject: OnReject): void {
    this.#drain(onFrame, onReject, true);
  }

  end(onReject: OnReject): void {
    if (this.#heldBytes > 0 && !this.#lost) onReject('incomplete');
    this.#heldBytes = 0;
    this.#lost = false;
  }

  /** Gives every frame of what is held and keeps what may still become one; `final`: nothing will. */
  #drain(onFrame: OnFrame, onReject: OnReject, final: boolean): void {
    let from = 0;
    while (from < this.#heldBytes) {
      const found = this.#look(from);
      if (found === 'wait' && !final) break;
      if (typeof found === 'number') {
        this.#lost = false;
        onFrame(this.#held.subarray(from, from + found));
        from += found;
        continue;
      }
      if (!this.#lost) onReject(found === 'wait' ? 'incomplete' : found);
      this.#lost = true;
      from += 1;
    }
    this.#held.copyWithin(0, from, this.#heldBytes);
    this.#heldBytes -= from;
  }

  /** Bytes of the frame that stands at `from`, or why none does. */
  #look(from: number): number | RejectionCause | 'wait' {
    const { maxFrameBytes, frameBytes, holds } = this.#options;
    const there = this.#heldBytes - from;
    for (const [i, byte] of this.#start.entries()) {
      if (i >= there) return 'wait';
      if (this.#held[from + i] !== byte) return 'malformed';
    }
    if (there < this.#headBytes) return 'wait';
    const bytes = frameBytes(this.#held.subarray(from, from + this.#headBytes));
    if (!(bytes >= this.#headBytes)) return 'malformed';
    if (bytes > maxFrameBytes) return 'tooLong';
    if (there < bytes) return 'wait';
    return holds === undefined || holds(this.#held.subarray(from, from + bytes)) ? bytes : 'checksum';
  }
}

export const createScanFramer = (options: ScanOptions): Framer => new ScanFramer(options);
