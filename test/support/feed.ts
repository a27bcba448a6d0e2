/** Feeds a framer with a stream in pieces and tells all that came out, in order. */
import type { Framer, RejectionCause } from '#kit';

export interface Fed {
  frames: string[];
  causes: RejectionCause[];
}

export const hexOf = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');
export const bytesOf = (hex: string): Uint8Array => Uint8Array.from(Buffer.from(hex.replaceAll(' ', ''), 'hex'));

/** `cuts`: where the pieces end; `silences`: after which bytes a silence follows; the link then closes. */
export function feed(
  framer: Framer,
  bytes: Uint8Array,
  cuts: readonly number[] = [],
  silences: readonly number[] = [],
): Fed {
  const fed: Fed = { frames: [], causes: [] };
  const onFrame = (frame: Uint8Array): void => void fed.frames.push(hexOf(frame));
  const onReject = (cause: RejectionCause): void => void fed.causes.push(cause);
  const ends = [...new Set([...cuts, ...silences, bytes.length])]
    .filter(at => at <= bytes.length)
    .sort((a, b) => a - b);
  let from = 0;
  for (const to of ends) {
    if (to > from) framer.push(bytes.slice(from, to), onFrame, onReject);
    if (to > 0 && silences.includes(to)) framer.idle?.(onFrame, onReject);
    from = to;
  }
  framer.end(onReject);
  return fed;
}

/** Every byte by itself. */
export const everyByte = (bytes: Uint8Array): number[] => Array.from(bytes, (_, i) => i);
