/**
 * The framed pipe between the agent and the process of an adapter: u32 payload length (little-endian), one type byte,
 * payload. Frames that carry bytes are binary, the rest is JSON. Node's own channel is not used: it would read a
 * message of any size before handing it over, and a 200 MB one froze the reader for two thirds of a second.
 */

export const MAX_PAYLOAD_BYTES = 65_536;
const HEADER_BYTES = 5;
/** Channel u16, then the place in the adapter's list of endpoints that the bytes come from or go to. */
const ADDRESS_BYTES = 3;

export const FRAME = {
  /** agent → adapter */
  open: 1,
  bytes: 2,
  close: 3,
  /** adapter → agent */
  ready: 16,
  reading: 17,
  rejected: 18,
  failed: 19,
  closed: 20,
  beat: 21,
  crashed: 22,
  /** Bytes for the station; binary like `bytes`. */
  send: 23,
  /** Asks for a characteristic's value; an address without bytes. */
  read: 24,
  /** The process of the radio: a search, what was found, and what an adapter needs of a connected peripheral. */
  scan: 32,
  found: 33,
  use: 34,
  opened: 35,
} as const;

export type FrameType = (typeof FRAME)[keyof typeof FRAME];

const TYPES: ReadonlySet<number> = new Set(Object.values(FRAME));

const header = (type: FrameType, payloadBytes: number): Buffer => {
  const frame = Buffer.allocUnsafe(HEADER_BYTES + payloadBytes);
  frame.writeUInt32LE(payloadBytes, 0);
  frame[4] = type;
  return frame;
};

/** One frame of JSON. Throws RangeError where it would be over the ceiling: nothing the agent sends comes near. */
export function encodeJson(type: FrameType, value: unknown): Buffer {
  const text = JSON.stringify(value);
  const bytes = Buffer.byteLength(text);
  if (bytes > MAX_PAYLOAD_BYTES) throw new RangeError(`a frame of ${bytes} bytes is over ${MAX_PAYLOAD_BYTES}`);
  const frame = header(type, bytes);
  frame.write(text, HEADER_BYTES);
  return frame;
}

export type BytesFrame = typeof FRAME.bytes | typeof FRAME.send | typeof FRAME.read;

/** Bytes from or to a place of a channel: one frame, or as many as the ceiling asks for. */
export function encodeBytes(type: BytesFrame, channel: number, place: number, chunk: Uint8Array): Buffer[] {
  const frames: Buffer[] = [];
  const most = MAX_PAYLOAD_BYTES - ADDRESS_BYTES;
  let from = 0;
  do {
    const part = chunk.subarray(from, from + most);
    const frame = header(type, ADDRESS_BYTES + part.length);
    frame.writeUInt16LE(channel, HEADER_BYTES);
    frame[HEADER_BYTES + 2] = place;
    frame.set(part, HEADER_BYTES + ADDRESS_BYTES);
    frames.push(frame);
    from += most;
  } while (from < chunk.length);
  return frames;
}

export interface ChannelBytes {
  channel: number;
  place: number;
  bytes: Uint8Array;
}

/** The inverse of encodeBytes, or null where the payload is too short to be one. */
export function decodeBytes(payload: Uint8Array): ChannelBytes | null {
  const [low, high, place] = payload;
  if (low === undefined || high === undefined || place === undefined) return null;
  return { channel: low + high * 256, place, bytes: payload.subarray(ADDRESS_BYTES) };
}

function headFault(length: number, type: number): string | null {
  if (length > MAX_PAYLOAD_BYTES) return `a message of ${length} bytes, at most ${MAX_PAYLOAD_BYTES}`;
  return TYPES.has(type) ? null : `a message of the unknown kind ${type}`;
}

export interface FrameParser {
  /** A payload is only valid during the call of `onFrame`. */
  push(chunk: Buffer): void;
}

/**
 * Parses frames however the stream was cut, holding at most one payload. `onBroken` is called once, with the reason,
 * for a header that cannot be true; everything after it is ignored.
 */
export function createFrameParser(
  onFrame: (type: FrameType, payload: Buffer) => void,
  onBroken: (reason: string) => void,
): FrameParser {
  const head = Buffer.alloc(HEADER_BYTES);
  let headBytes = 0;
  let body: Buffer | null = null;
  let bodyBytes = 0;
  let broken = false;

  const finish = (payload: Buffer): void => {
    const type = head[4] as FrameType;
    headBytes = 0;
    body = null;
    onFrame(type, payload);
  };
  /** Takes what it can of the header; the position after it. */
  const takeHead = (chunk: Buffer, from: number): number => {
    const taken = chunk.copy(head, headBytes, from, from + HEADER_BYTES - headBytes);
    headBytes += taken;
    return from + taken;
  };

  return {
    push(chunk) {
      let at = 0;
      while (!broken && at < chunk.length) {
        if (body === null) {
          at = takeHead(chunk, at);
          if (headBytes < HEADER_BYTES) return;
          const length = head.readUInt32LE(0);
          const fault = headFault(length, head[4]!);
          if (fault !== null) {
            broken = true;
            onBroken(fault);
            return;
          }
          if (chunk.length - at >= length) {
            finish(chunk.subarray(at, at + length));
            at += length;
            continue;
          }
          body = Buffer.allocUnsafe(length);
          bodyBytes = 0;
        }
        const taken = chunk.copy(body, bodyBytes, at);
        bodyBytes += taken;
        at += taken;
        if (bodyBytes === body.length) finish(body);
      }
    },
  };
}
