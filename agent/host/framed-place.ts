/**
 * The bytes of one place (the stream, or a characteristic) on their way through its framer. A framer that asks for
 * silences is told of each once. What a framer throws is told, and a new one takes its place.
 */
import type { Framer, RejectionCause, Timers } from '#kit';

export interface PlaceSurroundings {
  readonly monoMs: () => number;
  readonly timers: Timers;
  readonly createFramer: () => Framer;
  readonly onFrame: (frame: Uint8Array) => void;
  readonly onReject: (cause: RejectionCause) => void;
  readonly onThrow: (cause: unknown) => void;
}

export class FramedPlace {
  readonly #around: PlaceSurroundings;
  #framer: Framer;
  #heardAtMs = 0;
  /** Bytes came since the last silence. */
  #heard = false;
  /** The silence is over its limit and was looked at once. */
  #doubted = false;
  #cancel: (() => void) | null = null;

  /** Throws what `createFramer` throws. */
  constructor(around: PlaceSurroundings) {
    this.#around = around;
    this.#framer = around.createFramer();
  }

  feed(chunk: Uint8Array): void {
    // Never a Buffer, whose `slice` is a view where every other array's is a copy.
    const bytes = new Uint8Array(chunk.buffer, chunk.byteOffset, chunk.length);
    const { idleMs } = this.#framer;
    if (idleMs !== undefined) {
      const nowMs = this.#around.monoMs();
      // The timer is late where the process was busy: the silence was there all the same.
      if (this.#heard && nowMs - this.#heardAtMs >= idleMs) this.#silence();
      this.#heardAtMs = nowMs;
      this.#heard = true;
      this.#doubted = false;
      this.#cancel ??= this.#around.timers.after(idleMs, this.#look);
    }
    this.#safely(framer => framer.push(bytes, this.#around.onFrame, this.#around.onReject));
  }

  /** Throws away what is held of a frame. */
  clear(): void {
    this.#quiet();
    this.#framer = this.#around.createFramer();
  }

  /** The link is gone. */
  end(): void {
    this.#quiet();
    this.#safely(framer => framer.end(this.#around.onReject));
  }

  /** Bytes that wait in the pipe behind a late timer are let through before a silence is believed. */
  readonly #look = (): void => {
    this.#cancel = null;
    const leftMs = this.#heardAtMs + (this.#framer.idleMs ?? 0) - this.#around.monoMs();
    if (leftMs <= 0 && this.#doubted) {
      this.#silence();
      return;
    }
    this.#doubted = leftMs <= 0;
    this.#cancel = this.#around.timers.after(Math.max(0, leftMs), this.#look);
  };

  #silence(): void {
    this.#quiet();
    this.#safely(framer => framer.idle?.(this.#around.onFrame, this.#around.onReject));
  }

  #quiet(): void {
    this.#cancel?.();
    this.#cancel = null;
    this.#heard = false;
    this.#doubted = false;
  }

  #safely(run: (framer: Framer) => void): void {
    try {
      run(this.#framer);
    } catch (cause) {
      this.#around.onThrow(cause);
      this.clear();
    }
  }
}
