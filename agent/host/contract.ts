/**
 * What the host of adapters offers: channels. A channel is one session of one adapter: bytes in, readings and counted
 * rejections out, and exactly one end.
 */
import type { AdapterManifest, DecodedReading, RejectionCause } from '#kit';

export type RejectionCounts = { [C in RejectionCause]?: number };

export type AdapterFailure =
  | 'adapterUnknown' // no adapter of that name, or its file cannot be loaded
  | 'adapterApi' // its manifest does not fit this agent
  | 'adapterCrashed'
  | 'adapterSilent' // no sign of life
  | 'adapterMemory'
  | 'adapterMessage'; // a message over its size, without sense, or too many of them

export interface ChannelEvents {
  /** The adapter runs; what its manifest says. */
  ready(manifest: AdapterManifest): void;
  reading(reading: DecodedReading): void;
  rejected(counts: RejectionCounts, detail: string): void;
  /** A message for the station, allowed by the manifest. Only valid during the call. */
  send(message: Uint8Array, to: string): void;
  /** The adapter wants a characteristic's value. */
  read(from: string): void;
  /** `send` answered false before; now there is room again. */
  drained(): void;
  /** After `close`, once everything that was still owed has been told. Nothing follows. */
  closed(): void;
  /** It came to an end by itself or was ended. `detail` is one printable line. Nothing follows. */
  ended(failure: AdapterFailure, detail: string): void;
}

export interface AdapterChannel {
  /**
   * Bytes from the station; `from` is empty on a stream, else a name out of its manifest. False: the pipe is full, pause
   * the link until `drained`. The chunk was taken all the same.
   */
  send(chunk: Uint8Array, from: string): boolean;
  /** No more bytes will come. Idempotent. */
  close(): void;
}
