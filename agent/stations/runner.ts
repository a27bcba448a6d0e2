/**
 * What the supervisor needs of whoever runs adapters: a channel a session. Declared here, so that this room knows
 * nothing of processes and pipes.
 */
import type { AdapterManifest, DecodedReading, RejectionCause } from '#kit';

export type RejectionCounts = { [C in RejectionCause]?: number };

export type AdapterFailure =
  | 'adapterUnknown'
  | 'adapterApi'
  | 'adapterCrashed'
  | 'adapterSilent'
  | 'adapterMemory'
  | 'adapterMessage';

export interface ChannelEvents {
  ready(manifest: AdapterManifest): void;
  reading(reading: DecodedReading): void;
  rejected(counts: RejectionCounts, detail: string): void;
  /** A message for the station, allowed by the manifest. Only valid during the call. */
  send(message: Uint8Array, to: string): void;
  /** The adapter wants a characteristic's value. */
  read(from: string): void;
  /** `send` answered false before; now there is room again. */
  drained(): void;
  /** After `close`, once everything still owed has been told. Nothing follows. */
  closed(): void;
  /** It ended by itself or was ended. Nothing follows. */
  ended(failure: AdapterFailure, detail: string): void;
}

export interface Channel {
  /** False: full, pause the link until `drained`. */
  send(chunk: Uint8Array, from: string): boolean;
  close(): void;
}

export interface Runner {
  /** `alone`: not in one process with other sessions. Never throws for what an adapter does. */
  open(adapter: string, events: ChannelEvents, alone: boolean): Channel;
}
