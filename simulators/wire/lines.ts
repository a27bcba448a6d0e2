/**
 * The `lines` protocol, sender's side: one JSON object a line, UTF-8, ended by LF. Keys are quantity names with numbers
 * (null: not available), and `states` with the station's outlet, mains and input words. No time stamp: the receiver
 * stamps. At most 4096 bytes a line.
 */
import type { Sample } from '../plant/sample.ts';
import type { Counts } from './counts.ts';

export const MAX_LINE_BYTES = 4096;

const utf8 = new TextEncoder();

/** One line with its LF, with what its counters say where it has any. Throws RangeError where it would be longer than the protocol allows. */
export function encodeLine(sample: Sample, counts?: Counts): Uint8Array {
  const bytes = utf8.encode(`${JSON.stringify({ ...sample.quantities, ...counts, states: sample.states })}\n`);
  if (bytes.length > MAX_LINE_BYTES) throw new RangeError(`a line of ${bytes.length} bytes; ${MAX_LINE_BYTES} at most`);
  return bytes;
}
