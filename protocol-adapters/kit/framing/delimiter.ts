/**
 * Cuts a byte stream at a delimiter byte (a newline by default, with or without a carriage return before it).
 * Memory is bounded by the frame ceiling: an over-long frame is rejected once and skipped up to the next delimiter.
 * A frame that lies within one chunk is passed on without a copy; empty frames are skipped.
 */
import type { Framer } from '../adapter.ts';

const LINE_FEED = 0x0a;
const CARRIAGE_RETURN = 0x0d;

export interface DelimiterOptions {
  /** Ceiling on a frame without its line end, bytes. */
  readonly maxFrameBytes: number;
  /** Default: line feed, and then a carriage return before it is dropped. */
  readonly delimiter?: number;
}

export function createDelimiterFramer(options: DelimiterOptions): Framer {
  const { maxFrameBytes, delimiter = LINE_FEED } = options;
  // One byte more, since a carriage return at the end is not part of the frame.
  const held = new Uint8Array(maxFrameBytes + 1);
  let heldBytes = 0;
  let skipping = false;

  const trimmed = (frame: Uint8Array): Uint8Array =>
    delimiter === LINE_FEED && frame.at(-1) === CARRIAGE_RETURN ? frame.subarray(0, -1) : frame;

  return {
    push(chunk, onFrame, onReject) {
      let from = 0;
      for (;;) {
        const at = chunk.indexOf(delimiter, from);
        const part = chunk.subarray(from, at < 0 ? chunk.length : at);
        const fits = heldBytes + part.length <= held.length;
        if (!fits && !skipping) {
          onReject('tooLong');
          skipping = true;
          heldBytes = 0;
        }
        const whole = at >= 0 && heldBytes === 0;
        if (!skipping && !whole) {
          held.set(part, heldBytes);
          heldBytes += part.length;
        }
        if (at < 0) return;
        const frame = trimmed(whole ? part : held.subarray(0, heldBytes));
        const skipped = skipping;
        skipping = false;
        heldBytes = 0;
        from = at + 1;
        if (skipped || frame.length === 0) continue;
        if (frame.length > maxFrameBytes) onReject('tooLong');
        else onFrame(frame);
      }
    },
    end(onReject) {
      if (!skipping && trimmed(held.subarray(0, heldBytes)).length > 0) onReject('incomplete');
      heldBytes = 0;
      skipping = false;
    },
  };
}
