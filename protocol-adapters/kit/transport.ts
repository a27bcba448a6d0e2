/**
 * A transport moves bytes and nothing else. It is owned by the agent; adapters never see it.
 */

export type LinkFailure =
  | 'notFound' // no such port, file or host
  | 'inUse'
  | 'permission'
  | 'refused'
  | 'unplugged' // it was open and went away
  | 'ended' // the other side closed or the child process exited
  | 'timeout'
  | 'unsupported' // the library is not installed here
  | 'failed';

export interface LinkEvents {
  opened(): void;
  bytes(chunk: Uint8Array): void;
  /** Exactly once, whatever happened; nothing follows. `detail` is one printable line. */
  closed(failure: LinkFailure, detail: string): void;
}

export interface Link {
  /** Stop and start the flow of bytes (back-pressure). Idempotent. */
  pause(): void;
  resume(): void;
  /** Closes without a `closed` event. Idempotent. */
  close(): Promise<void>;
}

/** Opens at once and reports through `events`; never throws. */
export type OpenLink = (events: LinkEvents) => Link;
