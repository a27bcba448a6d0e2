/**
 * A capture as a file: recorded bytes of both ways with their times, one JSON value a line, so that it can be read, cut
 * and shared by hand. The first line tells what it is; each array after it is a chunk; each further object is a note
 * (such as the tree of a Bluetooth station) that a reader may skip.
 *
 *   {"capture":1,"transport":"serial","begunAt":"2026-06-21T09:00:00Z"}
 *   [0,"out","","0103 9c40 0002 ebc0"]
 *   [41,"in","","0103 0453 756e 53"]
 */

/** A recorded piece of a conversation. */
export interface CapturedChunk {
  /** From the start of the capture, monotonic. */
  readonly atMs: number;
  /** `in`: from the station. `out`: sent to it. */
  readonly way: 'in' | 'out';
  /** Name or UUID of the characteristic; '' on a stream. */
  readonly place: string;
  readonly bytes: Uint8Array;
}

export interface Capture {
  /** For reports: the file's name. */
  readonly name: string;
  readonly chunks: readonly CapturedChunk[];
}

export interface CaptureHead {
  readonly transport: string;
  /** ISO 8601. */
  readonly begunAt: string;
  /** Whatever else is worth keeping: port, baud rate, name of the station. */
  readonly [more: string]: unknown;
}

const CAPTURE_VERSION = 1;
const GROUP_BYTES = 2;

const spaced = (bytes: Uint8Array): string =>
  Array.from(bytes, (byte, i) => (i > 0 && i % GROUP_BYTES === 0 ? ' ' : '') + byte.toString(16).padStart(2, '0')).join(
    '',
  );

/** First line of a file, with its line end. */
export const captureHead = (head: CaptureHead): string => `${JSON.stringify({ capture: CAPTURE_VERSION, ...head })}\n`;

/** One line of a file, with its line end. */
export const captureLine = ({ atMs, way, place, bytes }: CapturedChunk): string =>
  `${JSON.stringify([Math.round(atMs), way, place, spaced(bytes)])}\n`;

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

function parseLine(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    // JSON.parse tells bad input only by throwing SyntaxError.
    if (cause instanceof SyntaxError) return undefined;
    throw cause;
  }
}

function chunkOf(line: unknown): CapturedChunk | null {
  if (!Array.isArray(line) || line.length !== 4) return null;
  const [atMs, way, place, hex] = line as unknown[];
  if (typeof atMs !== 'number' || !Number.isFinite(atMs) || (way !== 'in' && way !== 'out')) return null;
  if (typeof place !== 'string' || typeof hex !== 'string' || !/^\s*([0-9a-f]{2}\s*)*$/i.test(hex)) return null;
  const pairs = hex.match(/[0-9a-f]{2}/gi) ?? [];
  return { atMs, way, place, bytes: Uint8Array.from(pairs, pair => Number.parseInt(pair, 16)) };
}

/** The capture, or in words with its line why the text is none. A last line that was cut off by a crash is left out. */
export function parseCapture(
  name: string,
  text: string,
): (Capture & { readonly head: CaptureHead }) | { fault: string } {
  const lines = text.split('\n');
  const whole = lines.at(-1) === '' || parseLine(lines.at(-1) ?? '') !== undefined ? lines : lines.slice(0, -1);
  const head = parseLine(whole[0] ?? '');
  if (!isObject(head) || head.capture !== CAPTURE_VERSION)
    return { fault: `${name} is no capture of version ${CAPTURE_VERSION}` };
  const chunks: CapturedChunk[] = [];
  for (const [i, line] of whole.entries()) {
    if (i === 0 || line.trim() === '') continue;
    const parsed = parseLine(line);
    if (isObject(parsed)) continue;
    const chunk = chunkOf(parsed);
    if (chunk === null) return { fault: `${name}, line ${i + 1}: not [ms, "in" or "out", place, hex]` };
    chunks.push(chunk);
  }
  const { transport, begunAt } = head;
  const told = { transport: String(transport ?? ''), begunAt: String(begunAt ?? '') };
  return { name, chunks, head: { ...head, ...told } };
}
