/** The lines between the agent and the process that plays a capture. What that one says is a stranger's word. */
import {
  type Capture,
  checkReading,
  type DecodedReading,
  isRejection,
  isRejectionCause,
  type PartReading,
  printable,
  type Rejection,
  type ToldField,
} from '#kit';
import type { PlayEnd, PlayStep } from './play.ts';

/** A chunk of a capture: ms, way, place, hex. */
export type ChunkLine = readonly [atMs: number, way: 'in' | 'out', place: string, hex: string];

export interface PlayOrder {
  /** Id of a built-in; an owner's file holds one adapter. */
  readonly adapter: string;
  readonly capture: { readonly name: string; readonly chunks: readonly ChunkLine[] };
}

const hexOf = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex');
const bytesOf = (hex: string): Uint8Array => new Uint8Array(Buffer.from(hex, 'hex'));

export const orderOf = ({ name, chunks }: Capture): PlayOrder['capture'] => ({
  name,
  chunks: chunks.map(({ atMs, way, place, bytes }) => [atMs, way, place, hexOf(bytes)] as const),
});

export const captureOf = ({ name, chunks }: PlayOrder['capture']): Capture => ({
  name,
  chunks: chunks.map(([atMs, way, place, hex]) => ({ atMs, way, place, bytes: bytesOf(hex) })),
});

/** A step with its bytes as hex. */
export const stepLine = (step: PlayStep): unknown => ('bytes' in step ? { ...step, bytes: hexOf(step.bytes) } : step);

export type PlayLine = { readonly step: PlayStep } | { readonly end: PlayEnd } | { readonly fault: string };

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;
const count = (value: unknown): number =>
  Number.isSafeInteger(value) && (value as number) >= 0 ? (value as number) : 0;
const text = (value: unknown): string => printable(typeof value === 'string' ? value : '');
const hex = (value: unknown): Uint8Array => bytesOf(typeof value === 'string' ? value : '');

/** What decode said, with only what the kit knows; what it makes of nonsense is a rejection. */
function answerOf(answer: unknown): PartReading | Rejection {
  const checked = checkReading(answer);
  const part = isObject(answer) && typeof answer.part === 'string' ? { part: printable(answer.part, 40) } : {};
  return isRejection(checked) ? checked : { ...checked, ...part };
}

function stepOf(line: Record<string, unknown>): PlayStep | null {
  const atMs = typeof line.atMs === 'number' ? line.atMs : 0;
  switch (line.step) {
    case 'frame':
      return { atMs, step: 'frame', from: text(line.from), bytes: hex(line.bytes) };
    case 'decoded':
      return { atMs, step: 'decoded', answer: answerOf(line.answer) };
    case 'fields':
      return { atMs, step: 'fields', fields: Array.isArray(line.fields) ? line.fields.slice(0, 200).map(fieldOf) : [] };
    case 'unframed':
      return isRejectionCause(line.cause) ? { atMs, step: 'unframed', cause: line.cause } : null;
    case 'asked':
      return { atMs, step: 'asked', to: text(line.to), bytes: hex(line.bytes), known: line.known === true };
    case 'reading': {
      const reading: DecodedReading | Rejection = checkReading(line.reading);
      return isRejection(reading) ? null : { atMs, step: 'reading', reading };
    }
    case 'rejected':
      return { atMs, step: 'rejected', counts: countsOf(line.counts), detail: text(line.detail) };
    default:
      return null;
  }
}

function fieldOf(field: unknown): ToldField {
  const { name, at, raw, value } = isObject(field) ? field : {};
  const plain = typeof value === 'number' || typeof value === 'boolean' ? value : null;
  return {
    name: text(name),
    at: count(at),
    raw: typeof raw === 'number' ? raw : null,
    value: typeof value === 'string' ? text(value) : plain,
  };
}

const countsOf = (counts: unknown): object =>
  Object.fromEntries(
    Object.entries(isObject(counts) ? counts : {}).flatMap(([cause, n]) =>
      isRejectionCause(cause) ? [[cause, count(n)]] : [],
    ),
  );

/** One line of it, or null where it makes no sense. */
export function readPlayLine(line: string): PlayLine | null {
  let parsed: unknown;
  try {
    parsed = JSON.parse(line);
  } catch (cause) {
    // JSON.parse tells bad input only by throwing SyntaxError.
    if (cause instanceof SyntaxError) return null;
    throw cause;
  }
  if (!isObject(parsed)) return null;
  if ('fault' in parsed) return { fault: text(parsed.fault) };
  if (isObject(parsed.end)) {
    const { readings, rejected, unheard } = parsed.end;
    return { end: { readings: count(readings), rejected: count(rejected), unheard: count(unheard) } };
  }
  const step = stepOf(parsed);
  return step === null ? null : { step };
}
