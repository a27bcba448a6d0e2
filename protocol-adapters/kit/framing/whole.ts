/**
 * Every chunk is one frame: a Bluetooth notification or the value that was read. An empty one says nothing and is
 * skipped. Not for a stream, whose chunks end anywhere.
 */
import type { Framer } from '../adapter.ts';

export function createWholeFramer({ maxFrameBytes }: { readonly maxFrameBytes: number }): Framer {
  return {
    push(chunk, onFrame, onReject) {
      if (chunk.length > maxFrameBytes) onReject('tooLong');
      else if (chunk.length > 0) onFrame(chunk);
    },
    end() {
      // Nothing is ever held.
    },
  };
}
