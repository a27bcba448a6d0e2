/**
 * A message on its way to many clients. Its body becomes text once; only what differs between clients (the number,
 * and the age of a reading that had to wait) is put in front.
 */
import type { LiveMessage } from '#messages';

export interface Frame {
  /** Newest value wins among frames of one key. */
  readonly key: string;
  /** The station it speaks of, or null where every client wants it. */
  readonly station: string | null;
  /** JSON of the message without its opening brace, number and age. */
  readonly tail: string;
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
    return { key, station, tail: JSON.stringify(message).slice(1), ageMs: null, bornMs: nowMs };
  }
  const { ageMs, ...rest } = message;
  return { key, station, tail: JSON.stringify(rest).slice(1), ageMs, bornMs: nowMs };
}

/** The text for one client. A reading's age grows by what it waited here. */
export function writeFrame(frame: Frame, n: number, nowMs: number): string {
  if (frame.ageMs === null) return `{"n":${n},${frame.tail}`;
  return `{"n":${n},"ageMs":${frame.ageMs + Math.round(nowMs - frame.bornMs)},${frame.tail}`;
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
    case 'hello':
    case 'health':
    case 'beat':
      return null;
  }
}
