/**
 * The pipe between the agent and the process that reads the record: u32 payload length, u32 number of the question (both
 * little-endian), one kind byte, payload. A question is answered in pieces, each asked for before it is made, so that
 * neither side ever holds more than a few of them.
 */

/** Argument of a process that nobody waits for. */
export const QUIET = '--quiet';

export const KIND = {
  /** agent → reader: JSON of what is asked. */
  ask: 1,
  /** One more piece is wanted. */
  more: 2,
  /** Nobody wants the rest. */
  stop: 3,
  /** reader → agent: bytes of the answer. */
  piece: 16,
  /** The answer was whole. */
  end: 17,
  /** JSON of a Failed. */
  failed: 18,
  /** Still looking: nothing to send yet. */
  atWork: 19,
} as const;

export type Kind = (typeof KIND)[keyof typeof KIND];

export interface Failed {
  /** A code of the closed list; null where it is a fault of ours. */
  code: string | null;
  message: string;
  fix: string;
}

/** Larger pieces are cut. */
export const MAX_PIECE_BYTES = 256 * 1024;
const HEADER_BYTES = 9;
const KINDS: ReadonlySet<number> = new Set(Object.values(KIND));

const NOTHING = new Uint8Array(0);

export function encodeFrame(kind: Kind, ask: number, payload: Uint8Array = NOTHING): Buffer {
  const frame = Buffer.allocUnsafe(HEADER_BYTES + payload.length);
  frame.writeUInt32LE(payload.length, 0);
  frame.writeUInt32LE(ask, 4);
  frame[8] = kind;
  frame.set(payload, HEADER_BYTES);
  return frame;
}

export const encodeJson = (kind: Kind, ask: number, value: unknown): Buffer =>
  encodeFrame(kind, ask, Buffer.from(JSON.stringify(value)));

/**
 * Parses frames however the stream was cut.
 *
 * @param onFrame its payload is the receiver's to keep
 * @param maxBytes of a payload; a longer one cannot be true
 * @returns takes a chunk; throws RangeError for a header that cannot be true
 */
export function frameParser(
  onFrame: (kind: Kind, ask: number, payload: Buffer) => void,
  maxBytes = MAX_PIECE_BYTES,
): (chunk: Buffer) => void {
  let held: Buffer[] = [];
  let heldBytes = 0;
  /** Of the frame that is being gathered; its header is not looked at again. */
  let wantedBytes = HEADER_BYTES;
  return chunk => {
    held.push(chunk);
    heldBytes += chunk.length;
    while (heldBytes >= wantedBytes) {
      const bytes = held.length === 1 ? held[0]! : Buffer.concat(held, heldBytes);
      const length = bytes.readUInt32LE(0);
      const kind = bytes[8]!;
      if (length > maxBytes || !KINDS.has(kind)) throw new RangeError(`a frame of ${length} bytes, kind ${kind}`);
      wantedBytes = HEADER_BYTES + length;
      held = [bytes];
      if (heldBytes < wantedBytes) return;
      const rest = bytes.subarray(wantedBytes);
      held = rest.length === 0 ? [] : [rest];
      heldBytes = rest.length;
      onFrame(kind as Kind, bytes.readUInt32LE(4), bytes.subarray(HEADER_BYTES, wantedBytes));
      wantedBytes = HEADER_BYTES;
    }
  };
}
