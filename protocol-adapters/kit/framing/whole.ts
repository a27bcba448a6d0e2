/**
 * Every chunk is one frame: a Bluetooth notification or the value that was read, the empty one too (so a characteristic
 * answers that is lacking or refuses). Not for a stream, whose chunks end anywhere.
 */
import type { Framer } from '../adapter.ts';

export function createWholeFramer({ maxFrameBytes }: { readonly maxFrameBytes: number }): Framer {
  return {
    push(chunk, onFrame, onReject) {
      if (chunk.length > maxFrameBytes) onReject('tooLong');
      else onFrame(chunk);
    },
    end() {
      // Nothing is ever held.
    },
  };
}
