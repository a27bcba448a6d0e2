/**
 * One connection of one station: the link and, once it is open, a channel of its adapter; bytes flow from one to the
 * other and stop where the adapter cannot keep up. Tells exactly one end, unless it was closed.
 */
import {
  type AdapterManifest,
  type BleNeeds,
  type DecodedReading,
  type Link,
  type LinkFailure,
  type OpenLink,
  STREAM,
  type Timers,
} from '#kit';
import type { AdapterFailure, Channel, ChannelEvents, RejectionCounts, Runner } from './runner.ts';

export interface SessionEvents {
  opened(): void;
  ready(manifest: AdapterManifest): void;
  /** May still come after the end: bytes that were on their way. */
  reading(reading: DecodedReading): void;
  rejected(counts: RejectionCounts, detail: string): void;
  linkClosed(failure: LinkFailure, detail: string): void;
  adapterEnded(failure: AdapterFailure, detail: string): void;
}

export interface SessionRequest {
  readonly openLink: OpenLink;
  readonly adapter: string;
  readonly alone: boolean;
  readonly runner: Runner;
  readonly timers: Timers;
  readonly events: SessionEvents;
}

export interface Session {
  /** No end is told any more. Resolves when link and channel are gone, or after 3 s. Idempotent. */
  close(): Promise<void>;
}

const CLOSE_LIMIT_MS = 3000;
/** An adapter for streams on a Bluetooth link: the link itself says that nothing is asked of it. */
const NO_NEEDS: BleNeeds = { find: {}, characteristics: {} };

/** Resolves with `promise`, or after `limitMs` at the latest. */
async function within(promise: Promise<unknown>, limitMs: number, timers: Timers): Promise<void> {
  let cancel: (() => void) | undefined;
  const limit = new Promise<void>(resolve => {
    cancel = timers.after(limitMs, resolve);
  });
  await Promise.race([promise, limit]);
  cancel?.();
}

interface ChannelHooks {
  ready(manifest: AdapterManifest): void;
  send(message: Uint8Array, to: string): void;
  read(from: string): void;
  drained(): void;
  /** Closed or ended: it is no more. */
  gone(): void;
  ended(failure: AdapterFailure, detail: string): void;
}

/** What a channel tells goes on to the session's owner, except what only the session needs. */
const channelEvents = (events: SessionEvents, hooks: ChannelHooks): ChannelEvents => ({
  ready: manifest => hooks.ready(manifest),
  reading: reading => events.reading(reading),
  rejected: (counts, detail) => events.rejected(counts, detail),
  send: hooks.send,
  read: hooks.read,
  drained: hooks.drained,
  closed: hooks.gone,
  ended(failure, detail) {
    hooks.gone();
    hooks.ended(failure, detail);
  },
});

export function openSession(request: SessionRequest): Session {
  const { openLink, adapter, alone, runner, timers, events } = request;
  let link: Link | null = null;
  let channel: Channel | null = null;
  let paused = false;
  let over = false;
  let closing: Promise<void> | null = null;
  let channelIsGone: () => void;
  const channelGone = new Promise<void>(resolve => {
    channelIsGone = resolve;
  });

  const flow = (shallPause: boolean): void => {
    paused = shallPause;
    if (shallPause) link?.pause();
    else link?.resume();
  };
  const hooks: ChannelHooks = {
    ready(manifest) {
      if (over) return;
      if (link?.use !== undefined) link.use(manifest.ble ?? NO_NEEDS);
      events.ready(manifest);
    },
    // A link that cannot send leaves the question without an answer, and that is counted.
    send: (message, to) => void link?.send?.(message, to),
    read: from => link?.read?.(from),
    drained: () => flow(false),
    gone: () => channelIsGone(),
    ended(failure, detail) {
      if (over) return;
      over = true;
      events.adapterEnded(failure, detail);
    },
  };

  link = openLink({
    opened() {
      if (over) return;
      channel = runner.open(adapter, channelEvents(events, hooks), alone);
      events.opened();
    },
    bytes(chunk, from = STREAM) {
      if (channel !== null && !channel.send(chunk, from)) flow(true);
    },
    closed(failure, detail) {
      if (over) return;
      over = true;
      events.linkClosed(failure, detail);
    },
  });
  // The link may have opened and filled the pipe before it could be named here.
  if (paused) link.pause();

  const close = (): Promise<void> => {
    over = true;
    channel?.close();
    return within(Promise.all([link.close(), channel === null ? null : channelGone]), CLOSE_LIMIT_MS, timers);
  };
  return {
    close() {
      closing ??= close();
      return closing;
    },
  };
}
