/**
 * A checksum at the end of a frame: whether it holds, and a message with its own appended.
 */
import type { Checksum } from './crc.ts';

export interface Trailer {
  readonly checksum: Checksum;
  /** Bytes it takes at the end, 1 to 4. */
  readonly bytes: number;
  /** Default: low byte first. */
  readonly bigEndian?: true;
  /** Bytes at the front that it does not cover. Default 0. */
  readonly skip?: number;
}

const byteAt = (value: number, i: number, { bytes, bigEndian }: Trailer): number =>
  (value >>> (8 * (bigEndian ? bytes - 1 - i : i))) & 0xff;

/** True where the last bytes of the frame are the checksum of what comes before them. */
export function trailerHolds(frame: Uint8Array, trailer: Trailer): boolean {
  const { checksum, bytes, skip = 0 } = trailer;
  const end = frame.length - bytes;
  if (end < skip) return false;
  const value = checksum(frame.subarray(skip, end));
  for (let i = 0; i < bytes; i++) if (frame[end + i] !== byteAt(value, i, trailer)) return false;
  return true;
}

/** A new message: `body`, then its checksum. */
export function withTrailer(body: Uint8Array | readonly number[], trailer: Trailer): Uint8Array {
  const message = new Uint8Array(body.length + trailer.bytes);
  message.set(body);
  const value = trailer.checksum(message.subarray(trailer.skip ?? 0, body.length));
  for (let i = 0; i < trailer.bytes; i++) message[body.length + i] = byteAt(value, i, trailer);
  return message;
}
