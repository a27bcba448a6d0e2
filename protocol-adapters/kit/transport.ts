/**
 * A transport moves bytes and nothing else. It is owned by the agent; adapters never see it.
 */
import type { BleNeeds } from './ble.ts';

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
  /** `from`: name of the Bluetooth characteristic; left out on a stream. */
  bytes(chunk: Uint8Array, from?: string): void;
  /** Exactly once, whatever happened; nothing follows. `detail` is one printable line. */
  closed(failure: LinkFailure, detail: string): void;
}

export interface Link {
  /** Stop and start the flow of bytes (back-pressure). Idempotent. */
  pause(): void;
  resume(): void;
  /** Sends a whole message. False where it cannot: then nothing was sent. Left out: the link only listens. */
  send?(message: Uint8Array, to: string): boolean;
  /** Bluetooth: asks for a characteristic's value, which comes as `bytes`. */
  read?(from: string): void;
  /** Bluetooth: what the adapter needs; subscribes. A lack of it comes as `closed`. */
  use?(needs: BleNeeds): void;
  /** Closes without a `closed` event. Idempotent. */
  close(): Promise<void>;
}

/** Opens at once and reports through `events`; never throws. */
export type OpenLink = (events: LinkEvents) => Link;
