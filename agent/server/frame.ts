/**
 * A message on its way to many clients. Its body becomes bytes once; only what differs between clients (the number,
 * and the age of a reading that had to wait) is put in front, together with the header of RFC 6455 section 5.2. One
 * buffer and one write a client: over the ws library's own two this saves a third of the processor time.
 */
import type { LiveMessage } from '#messages';

const FIN_TEXT = 0x81;

export interface Frame {
  /** Newest value wins among frames of one key. */
  readonly key: string;
  /** The station it speaks of, or null where every client wants it. */
  readonly station: string | null;
  /** JSON of the message in UTF-8, without its opening brace, number and age. */
  readonly tail: Buffer;
  /** Age of the reading when it was published; null for any other message. */
  readonly ageMs: number | null;
  /** Monotonic ms of the publication. */
  readonly bornMs: number;
}

/** @param nowMs monotonic */
export function makeFrame(message: LiveMessage, nowMs: number): Frame {
  const station = stationOf(message);
  const key = station === null ? message.type : `${message.type} ${station}`;
  if (message.type !== 'reading') {
    return { key, station, tail: tailOf(message), ageMs: null, bornMs: nowMs };
  }
  const { ageMs, ...rest } = message;
  return { key, station, tail: tailOf(rest), ageMs, bornMs: nowMs };
}

const tailOf = (message: object): Buffer => Buffer.from(JSON.stringify(message).slice(1));

/** One whole, unmasked text frame for one client. A reading's age grows by what it waited here. */
export function writeFrame(frame: Frame, n: number, nowMs: number): Buffer {
  const age = frame.ageMs === null ? '' : `"ageMs":${frame.ageMs + Math.round(nowMs - frame.bornMs)},`;
  const front = `{"n":${n},${age}`;
  const length = front.length + frame.tail.length;
  const headerBytes = length < 126 ? 2 : length < 65_536 ? 4 : 10;
  const bytes = Buffer.allocUnsafe(headerBytes + length);
  bytes[0] = FIN_TEXT;
  bytes[1] = length < 126 ? length : length < 65_536 ? 126 : 127;
  if (headerBytes === 4) bytes.writeUInt16BE(length, 2);
  else if (headerBytes === 10) bytes.writeBigUInt64BE(BigInt(length), 2);
  // Digits and names only: one byte a character.
  bytes.write(front, headerBytes, 'latin1');
  frame.tail.copy(bytes, headerBytes + front.length);
  return bytes;
}

function stationOf(message: LiveMessage): string | null {
  switch (message.type) {
    case 'reading':
      return message.reading.station;
    case 'status':
      return message.status.station;
    case 'projection':
      return message.projection.station;
    case 'day':
      return message.tally.station;
    case 'aim':
      return message.aim.station;
    case 'hello':
    case 'health':
    case 'alarms':
    case 'trials':
    case 'beat':
      return null;
  }
}
