/**
 * What an adapter may send, as patterns of bytes in its manifest. The agent holds every message against them before a
 * byte leaves: so an adapter can ask, and cannot switch anything that its manifest does not show.
 */
import { STREAM } from './ble.ts';

export interface RequestPattern {
  /** Plain words for what it asks, shown to the owner. */
  readonly name: string;
  /** Pairs of hex digits, `..` for any byte, of exactly the message's length: `.. 03 .. .. 00 .. .. ..`. */
  readonly bytes: string;
  /** Name of the Bluetooth characteristic it is written to; left out on a stream. */
  readonly to?: string;
}

const MAX_PATTERNS = 64;
const MAX_REQUEST_BYTES = 512;
const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;

const parse = (pattern: string): (number | null)[] | null => {
  const pairs = pattern.trim().split(/\s+/);
  if (pairs.length > MAX_REQUEST_BYTES || !pairs.every(pair => /^([0-9a-f]{2}|\.\.)$/i.test(pair))) return null;
  return pairs.map(pair => (pair === '..' ? null : Number.parseInt(pair, 16)));
};

/** What is wrong with a manifest's list of requests, or null. A pattern of nothing but any bytes is refused. */
export function requestsFault(requests: unknown, targets: readonly string[]): string | null {
  if (!Array.isArray(requests) || requests.length > MAX_PATTERNS)
    return `manifest.requests lists ${MAX_PATTERNS} at most`;
  for (const request of requests) {
    if (!isObject(request)) return 'manifest.requests holds something that is no object';
    if (typeof request.name !== 'string' || request.name === '' || request.name.length > 80) {
      return 'a request needs a name that tells the owner what it asks';
    }
    const bytes = typeof request.bytes === 'string' ? parse(request.bytes) : null;
    if (bytes === null) return `request "${request.name}": bytes are pairs of hex digits or .. for any byte`;
    if (bytes.every(byte => byte === null)) return `request "${request.name}" would allow any message of its length`;
    if (!targets.includes((request.to as string | undefined) ?? STREAM)) {
      return `request "${request.name}" goes to a characteristic that the manifest does not name`;
    }
  }
  return null;
}

/** A check of outgoing messages against the patterns: true where one of them allows it. */
export function createRequestCheck(
  requests: readonly RequestPattern[] = [],
): (message: Uint8Array, to: string) => boolean {
  const patterns = requests.map(({ bytes, to = STREAM }) => ({ bytes: parse(bytes) ?? [null], to }));
  return (message, to) =>
    patterns.some(
      pattern =>
        pattern.to === to &&
        pattern.bytes.length === message.length &&
        pattern.bytes.every((byte, i) => byte === null || byte === message[i]),
    );
}
