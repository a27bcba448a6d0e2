/**
 * Frames whose end byte never occurs within them, because it is written otherwise there: SLIP (RFC 1055) and consistent
 * overhead byte stuffing (S. Cheshire, M. Baker, IEEE/ACM Trans. Networking 7(2), 1999).
 */
import type { Framer } from '../adapter.ts';
import { createDelimiterFramer } from './delimiter.ts';

const END = 0xc0;
const ESCAPE = 0xdb;
const ESCAPED_END = 0xdc;
const ESCAPED_ESCAPE = 0xdd;
const COBS_BLOCK = 0xff;

/** Writes the plain frame into `into`; its bytes, or null where the stuffing is broken or it would not fit. */
type Unstuff = (stuffed: Uint8Array, into: Uint8Array) => number | null;

const unslip: Unstuff = (stuffed, into) => {
  let at = 0;
  for (let i = 0; i < stuffed.length; i++) {
    let byte = stuffed[i]!;
    if (byte === ESCAPE) {
      i += 1;
      if (stuffed[i] === ESCAPED_END) byte = END;
      else if (stuffed[i] !== ESCAPED_ESCAPE) return null;
    }
    if (at === into.length) return null;
    into[at++] = byte;
  }
  return at;
};

const uncobs: Unstuff = (stuffed, into) => {
  let at = 0;
  for (let i = 0; i < stuffed.length; ) {
    const code = stuffed[i]!;
    const block = stuffed.subarray(i + 1, i + code);
    if (block.length !== code - 1 || at + block.length > into.length) return null;
    into.set(block, at);
    at += block.length;
    i += code;
    if (code === COBS_BLOCK || i === stuffed.length) continue;
    if (at === into.length) return null;
    into[at++] = 0;
  }
  return at;
};

function createStuffedFramer(maxFrameBytes: number, stuffedBytes: number, delimiter: number, unstuff: Unstuff): Framer {
  const outer = createDelimiterFramer({ maxFrameBytes: stuffedBytes, delimiter });
  const plain = new Uint8Array(maxFrameBytes);
  return {
    push(chunk, onFrame, onReject) {
      const onStuffed = (stuffed: Uint8Array): void => {
        const bytes = unstuff(stuffed, plain);
        if (bytes === null) onReject('malformed');
        else if (bytes > 0) onFrame(plain.subarray(0, bytes));
      };
      outer.push(chunk, onStuffed, onReject);
    },
    end: onReject => outer.end(onReject),
  };
}

/** `maxFrameBytes`: of the frame without its stuffing. */
export const createSlipFramer = ({ maxFrameBytes }: { readonly maxFrameBytes: number }): Framer =>
  createStuffedFramer(maxFrameBytes, 2 * maxFrameBytes, END, unslip);

/** `maxFrameBytes`: of the frame without its stuffing. */
export const createCobsFramer = ({ maxFrameBytes }: { readonly maxFrameBytes: number }): Framer =>
  createStuffedFramer(maxFrameBytes, maxFrameBytes + Math.ceil(maxFrameBytes / 254) + 1, 0, uncobs);

/** A message as SLIP sends it, an END on both sides (RFC 1055 advises the first one to flush line noise). */
export const slip = (message: Uint8Array): Uint8Array =>
  Uint8Array.from([
    END,
    ...[...message].flatMap(byte =>
      byte === END ? [ESCAPE, ESCAPED_END] : byte === ESCAPE ? [ESCAPE, ESCAPED_ESCAPE] : [byte],
    ),
    END,
  ]);

/** A message as COBS sends it, with its closing zero. */
export function cobs(message: Uint8Array): Uint8Array {
  const out: number[] = [];
  let block: number[] = [];
  let full = false;
  for (const byte of message) {
    full = byte !== 0 && block.length === COBS_BLOCK - 2;
    if (byte !== 0) block.push(byte);
    if (byte !== 0 && !full) continue;
    out.push(block.length + 1, ...block);
    block = [];
  }
  // A full block at the very end closes the message by itself.
  if (!full) out.push(block.length + 1, ...block);
  return Uint8Array.from([...out, 0]);
}
