/**
 * The watch over one process of adapters: a sign of life within the limit, resident memory under its limit, and no
 * more messages than its channels can honestly give. Silence is counted in rounds of the watch itself, so that an
 * agent that was asleep or busy never blames the adapter for it.
 */
import { type Bucket, fullBucket, refill, type Timers } from '#kit';
import type { AdapterFailure } from './contract.ts';

const ROUND_MS = 1000;
/** Loading on a busy small computer takes a while: until it is ready, this is the limit. */
const START_LIMIT_MS = 30_000;
/** More than what piles up in the pipe while the agent sleeps. */
const MESSAGE_BURST = 5000;
const MESSAGES_PER_S_AND_CHANNEL = 60;

export interface WatchOptions {
  readonly monoMs: () => number;
  readonly timers: Timers;
  readonly heartbeatLimitMs: number;
  readonly rssLimitBytes: number;
  /** Limit of the JavaScript heap. */
  readonly heapLimitBytes: number;
  /** Resident bytes, or null where the system does not tell. */
  readonly measure: () => number | null;
  readonly channelCount: () => number;
  /** At most once. */
  readonly onVerdict: (failure: AdapterFailure, detail: string) => void;
}

export interface Watch {
  started(): void;
  /** Call for each message; false where there were too many. */
  message(): boolean;
  stop(): void;
}

const megabytes = (bytes: number): string => `${Math.round(bytes / 1e6)} MB`;

export function createWatch(options: WatchOptions): Watch {
  const { monoMs, timers, heartbeatLimitMs, rssLimitBytes, heapLimitBytes, measure } = options;
  let silentMs = 0;
  let limitMs = Math.max(START_LIMIT_MS, heartbeatLimitMs);
  let bucket: Bucket = fullBucket({ perS: 0, burst: MESSAGE_BURST }, monoMs());

  let over = false;

  /** One verdict, then nothing more to watch. */
  const condemn = (failure: AdapterFailure, detail: string): void => {
    if (over) return;
    over = true;
    cancel();
    options.onVerdict(failure, detail);
  };
  const round = (): void => {
    cancel = timers.after(ROUND_MS, round);
    silentMs += ROUND_MS;
    const bytes = measure();
    if (silentMs > limitMs) {
      const silence = `no sign of life for ${limitMs / 1000} s`;
      // A heap that is nearly full keeps the process busy collecting garbage before it gives up.
      if (bytes !== null && bytes > heapLimitBytes)
        condemn('adapterMemory', `${silence}, with ${megabytes(bytes)} in use`);
      else condemn('adapterSilent', silence);
    } else if (bytes !== null && bytes > rssLimitBytes) {
      condemn('adapterMemory', `${megabytes(bytes)} of memory, at most ${megabytes(rssLimitBytes)}`);
    }
  };
  let cancel = timers.after(ROUND_MS, round);

  return {
    started() {
      limitMs = heartbeatLimitMs;
      silentMs = 0;
    },
    message() {
      silentMs = 0;
      const perS = MESSAGES_PER_S_AND_CHANNEL * (1 + options.channelCount());
      bucket = refill(bucket, { perS, burst: MESSAGE_BURST }, monoMs());
      bucket = { ...bucket, tokens: bucket.tokens - 1 };
      if (bucket.tokens >= 0) return true;
      condemn('adapterMessage', `more than ${perS} messages a second`);
      return false;
    },
    stop: () => cancel(),
  };
}
