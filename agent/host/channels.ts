/**
 * The adapter's side of every open channel: bytes → framer → decode → reading or rejection. Whatever an adapter
 * answers is checked as a stranger's word; whatever it throws is counted as `adapterError` and the next frame is
 * tried. Rejections are counted by cause and told at most four times a second for a channel.
 */
import {
  type Adapter,
  type AdapterSession,
  type Bucket,
  checkReading,
  complete,
  type DecodedReading,
  type Framer,
  fullBucket,
  isRejection,
  printable,
  type Rejection,
  type RejectionCause,
  refill,
  type Timers,
  take,
} from '#kit';
import type { RejectionCounts } from './contract.ts';

const TELL_REJECTIONS_EVERY_MS = 250;
/** Frames decoded a second for each reading a second allowed: noise at full speed costs the process no more. */
const TRIES_PER_READING = 20;

export interface ChannelOutput {
  reading(channel: number, reading: DecodedReading): void;
  rejected(channel: number, counts: RejectionCounts, detail: string): void;
}

export interface AdapterInput {
  feed(bytes: Uint8Array): void;
  /** The link is gone: counts what was left and tells every count that is still owed. */
  end(): void;
}

export interface ChannelSurroundings {
  readonly monoMs: () => number;
  readonly timers: Timers;
  readonly output: ChannelOutput;
}

/** Counts by cause, told at once and then at most every 250 ms. */
function createTally(channel: number, { monoMs, timers, output }: ChannelSurroundings) {
  let counts: RejectionCounts = {};
  let detail = '';
  let owed = false;
  let toldAtMs = Number.NEGATIVE_INFINITY;
  let cancel: (() => void) | null = null;

  const tell = (): void => {
    cancel?.();
    cancel = null;
    if (!owed) return;
    output.rejected(channel, counts, detail);
    counts = {};
    owed = false;
    toldAtMs = monoMs();
  };
  return {
    tell,
    add(cause: RejectionCause, why: string): void {
      counts[cause] = (counts[cause] ?? 0) + 1;
      detail = why;
      owed = true;
      if (cancel !== null) return;
      const waitMs = toldAtMs + TELL_REJECTIONS_EVERY_MS - monoMs();
      if (waitMs <= 0) tell();
      else cancel = timers.after(waitMs, tell);
    },
  };
}

function decodeSafely(session: AdapterSession, frame: Uint8Array): DecodedReading | Rejection {
  try {
    return checkReading(session.decode(frame));
  } catch (cause) {
    return { rejected: 'adapterError', detail: printable(`decode threw ${String(cause)}`) };
  }
}

/** Opens a session of the adapter. Throws what the adapter's own `open` or `createFramer` throws. */
export function openChannel(channel: number, adapter: Adapter, surroundings: ChannelSurroundings): AdapterInput {
  const { monoMs, output } = surroundings;
  const { maxReadingsPerS } = adapter.manifest;
  const ceiling = { perS: maxReadingsPerS, burst: maxReadingsPerS };
  const session = adapter.open();
  const tally = createTally(channel, surroundings);
  let framer: Framer = session.createFramer();
  const triesCeiling = { perS: maxReadingsPerS * TRIES_PER_READING, burst: maxReadingsPerS * TRIES_PER_READING };
  let bucket: Bucket = fullBucket(ceiling, monoMs());
  let tries: Bucket = fullBucket(triesCeiling, monoMs());

  /** Asked before decoding, so that a flood costs no decoding. */
  const mayTry = (): boolean => {
    const nowMs = monoMs();
    bucket = refill(bucket, ceiling, nowMs);
    const left = take(tries, triesCeiling, nowMs);
    if (bucket.tokens < 1 || left === null) return false;
    tries = left;
    return true;
  };
  const onReject = (cause: RejectionCause): void => tally.add(cause, '');
  const onFrame = (frame: Uint8Array): void => {
    const answer: DecodedReading | Rejection = mayTry()
      ? decodeSafely(session, frame)
      : { rejected: 'tooFast', detail: `more than ${maxReadingsPerS} readings a second` };
    if (isRejection(answer)) {
      tally.add(answer.rejected, answer.detail);
      return;
    }
    bucket = take(bucket, ceiling, bucket.atMs) ?? bucket;
    output.reading(channel, complete(answer));
  };

  return {
    feed(bytes) {
      try {
        framer.push(bytes, onFrame, onReject);
      } catch (cause) {
        tally.add('adapterError', printable(`the framer threw ${String(cause)}`));
        framer = session.createFramer();
      }
    },
    end() {
      try {
        framer.end(onReject);
      } catch (cause) {
        tally.add('adapterError', printable(`the framer threw ${String(cause)}`));
      }
      tally.tell();
    },
  };
}
