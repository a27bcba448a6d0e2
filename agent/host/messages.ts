/**
 * What came over the pipe from a process of adapters, checked: the process may hold code of strangers, so nothing it
 * says is taken as it is. A message without sense is null and ends the process.
 */
import {
  type AdapterManifest,
  checkReading,
  type DecodedReading,
  isRejection,
  isRejectionCause,
  manifestFault,
  plainManifest,
  printable,
} from '#kit';
import type { AdapterFailure, RejectionCounts } from './contract.ts';
import { decodeBytes, FRAME, type FrameType } from './pipe.ts';

export type Message =
  | { type: 'beat' }
  | { type: 'ready'; manifests: AdapterManifest[] }
  | { type: 'reading'; channel: number; reading: DecodedReading }
  | { type: 'rejected'; channel: number; counts: RejectionCounts; detail: string }
  | { type: 'failed'; channel: number | null; failure: AdapterFailure; detail: string }
  | { type: 'closed'; channel: number }
  | { type: 'send'; channel: number; place: number; message: Uint8Array }
  | { type: 'read'; channel: number; place: number }
  | { type: 'crashed'; detail: string };

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;
const text = (value: unknown, max = 120): string => printable(typeof value === 'string' ? value : '', max);

function parse(payload: Buffer): Record<string, unknown> | null {
  try {
    const parsed: unknown = JSON.parse(payload.toString('utf8'));
    return isObject(parsed) ? parsed : null;
  } catch (cause) {
    // JSON.parse tells bad input only by throwing SyntaxError.
    if (cause instanceof SyntaxError) return null;
    throw cause;
  }
}

function checkCounts(counts: unknown): RejectionCounts {
  const checked: RejectionCounts = {};
  if (!isObject(counts)) return checked;
  for (const [cause, count] of Object.entries(counts)) {
    if (isRejectionCause(cause) && Number.isSafeInteger(count) && (count as number) > 0)
      checked[cause] = count as number;
  }
  return checked;
}

/** Plain ones, or null where it is no list of manifests. */
export function checkManifests(list: unknown): AdapterManifest[] | null {
  if (!Array.isArray(list) || list.length === 0) return null;
  const plain: AdapterManifest[] = [];
  for (const manifest of list) {
    if (!isObject(manifest) || manifestFault(manifest) !== null) return null;
    plain.push(plainManifest(manifest as unknown as AdapterManifest));
  }
  return plain;
}

/** The message, or null where it makes no sense. */
export function readMessage(type: FrameType, payload: Buffer): Message | null {
  if (type === FRAME.beat) return { type: 'beat' };
  if (type === FRAME.send || type === FRAME.read) {
    const part = decodeBytes(payload);
    if (part === null) return null;
    const { channel, place, bytes } = part;
    return type === FRAME.send ? { type: 'send', channel, place, message: bytes } : { type: 'read', channel, place };
  }
  const body = parse(payload);
  if (body === null) return null;
  const channel = typeof body.c === 'number' ? body.c : null;
  switch (type) {
    case FRAME.ready: {
      const manifests = checkManifests(body.manifests);
      return manifests === null ? null : { type: 'ready', manifests };
    }
    case FRAME.crashed:
      return { type: 'crashed', detail: text(body.detail, 200) };
    case FRAME.failed: {
      const failure = body.failure === 'adapterApi' || body.failure === 'adapterUnknown' ? body.failure : null;
      return { type: 'failed', channel, failure: failure ?? 'adapterCrashed', detail: text(body.detail) };
    }
    case FRAME.reading: {
      const reading = checkReading(body.reading);
      return channel === null || isRejection(reading) ? null : { type: 'reading', channel, reading };
    }
    case FRAME.rejected:
      if (channel === null) return null;
      return { type: 'rejected', channel, counts: checkCounts(body.counts), detail: text(body.detail) };
    case FRAME.closed:
      return channel === null ? null : { type: 'closed', channel };
    default:
      return null;
  }
}
