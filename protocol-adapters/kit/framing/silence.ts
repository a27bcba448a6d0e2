/**
 * Frames parted by silence, as on a shared serial line. Silence is as the agent sees it: a port that hands bytes over in
 * bursts (many USB adapters: every 16 ms) blurs it, so where frames tell their length, cut by that instead.
 */
import type { Framer } from '../adapter.ts';

export interface SilenceOptions {
  readonly maxFrameBytes: number;
  /** So long without a byte ends the frame, ms. */
  readonly idleMs: number;
}

export function createSilenceFramer({ maxFrameBytes, idleMs }: SilenceOptions): Framer {
  const held = new Uint8Array(maxFrameBytes);
  let heldBytes = 0;
  let skipping = false;
  return {
    idleMs,
    push(chunk, _onFrame, onReject) {
      if (skipping) return;
      if (heldBytes + chunk.length > maxFrameBytes) {
        onReject('tooLong');
        skipping = true;
        heldBytes = 0;
        return;
      }
      held.set(chunk, heldBytes);
      heldBytes += chunk.length;
    },
    idle(onFrame) {
      const frame = held.subarray(0, heldBytes);
      heldBytes = 0;
      skipping = false;
      if (frame.length > 0) onFrame(frame);
    },
    end(onReject) {
      if (heldBytes > 0) onReject('incomplete');
      heldBytes = 0;
      skipping = false;
    },
  };
}
