/**
 * Bytes through a session, as the agent plays them: framer, then decode. What throws is noted, never passed on.
 */
import type { AdapterSession } from '../adapter.ts';
import { STREAM } from '../ble.ts';
import type { PartReading, Rejection, RejectionCause } from '../reading.ts';
import type { PlaceStream } from './material.ts';

export interface Framed {
  readonly frames: Uint8Array[];
  /** Frames as hex and rejections by cause, in order: equal where the same came out. */
  readonly told: string[];
  readonly causes: RejectionCause[];
  threw: string | null;
}

export type Answered = PartReading | Rejection;

export const hexOf = (bytes: Uint8Array): string =>
  Array.from(bytes, byte => byte.toString(16).padStart(2, '0')).join('');

/** Cuts a burst in pieces; a characteristic's value comes whole. */
export type Cut = (bytes: Uint8Array) => readonly Uint8Array[];
export const WHOLE: Cut = bytes => [bytes];
export const EVERY_BYTE: Cut = bytes => Array.from(bytes, byte => Uint8Array.of(byte));

/** All bursts through a new framer of the session; `close`: the link then ends. */
export function frameAll(
  session: AdapterSession,
  { place, bursts }: Pick<PlaceStream, 'place' | 'bursts'>,
  cut: Cut = WHOLE,
): Framed {
  const framed: Framed = { frames: [], told: [], causes: [], threw: null };
  const onFrame = (frame: Uint8Array): void => {
    framed.frames.push(frame.slice());
    framed.told.push(hexOf(frame));
  };
  const onReject = (cause: RejectionCause): void => {
    framed.causes.push(cause);
    framed.told.push(cause);
  };
  try {
    const framer = session.createFramer(place);
    for (const { bytes } of bursts) {
      for (const piece of place === STREAM ? cut(bytes) : [bytes]) framer.push(piece.slice(), onFrame, onReject);
      if (framer.idleMs !== undefined) framer.idle?.(onFrame, onReject);
    }
    framer.end(onReject);
  } catch (cause) {
    framed.threw = `the framer threw ${String(cause)}`;
  }
  return framed;
}

/** What decode says, or that it threw. */
export function decodeOne(session: AdapterSession, frame: Uint8Array, place: string): Answered {
  try {
    return session.decode(frame, place);
  } catch (cause) {
    return { rejected: 'adapterError', detail: `decode threw ${String(cause)}` };
  }
}
