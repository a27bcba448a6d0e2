/**
 * The contract of an adapter: a manifest and a few functions over plain bytes. No base class, no clock, no files, no
 * sockets: the agent owns ports and time, the adapter only translates. Read-only: an adapter has no way to switch
 * anything on a station.
 */

import type { BleNeeds } from './ble.ts';
import type { QuantityName } from './quantities.ts';
import type { PartReading, Rejection, RejectionCause } from './reading.ts';
import type { RequestPattern } from './requests.ts';
import type { Talk } from './talk.ts';

/** Version of this contract. A manifest written for another one is refused on load. */
export const API_VERSION = 1;

export type TransportKind = 'serial' | 'tcp' | 'process' | 'ble';

export interface AdapterManifest {
  /** Lower-case letters, digits and dashes; unique. */
  readonly id: string;
  readonly title: string;
  readonly version: string;
  readonly apiVersion: number;
  readonly transports: readonly TransportKind[];
  /** Quantities it can give; views offer only what is here and really arrives. */
  readonly gives: readonly QuantityName[];
  /** Expected time between readings, ms. Staleness and the energy gap limit follow from it. */
  readonly intervalMs: number;
  /** The station speaks only when something changes: silence is not staleness. */
  readonly onChangeOnly?: true;
  /** Ceiling on one frame, bytes; longer is rejected as tooLong. At most 65 536. */
  readonly maxFrameBytes: number;
  /** Ceiling on accepted readings a second; more is rejected as tooFast. At most 50. */
  readonly maxReadingsPerS: number;
  /**
   * The station tells its reading in parts, at different moments: each place's frames are one, and each stands for so
   * many ms. Left out: every frame is a whole reading.
   */
  readonly partsHoldMs?: number;
  /**
   * Steps that its running totals hold before they begin at 0 again: 65 536 of 16 bits, 4 294 967 296 of 32. Left out:
   * not known, and every drop is a new beginning.
   */
  readonly counterSteps?: number;
  /** Bluetooth: what it looks for and the characteristics it uses. Needed where `transports` names `ble`. */
  readonly ble?: BleNeeds;
  /** Everything it may ever send; the agent refuses the rest. Left out: it only listens. */
  readonly requests?: readonly RequestPattern[];
}

/** Cuts a byte stream into frames. Holds at most `maxFrameBytes`. */
export interface Framer {
  /** Calls `onFrame` once a complete frame, in order; a frame is only valid during the call. */
  push(chunk: Uint8Array, onFrame: (frame: Uint8Array) => void, onReject: (cause: RejectionCause) => void): void;
  /** The link closed: what is left is incomplete. */
  end(onReject: (cause: RejectionCause) => void): void;
  /** A silence of so many ms means something: `idle` is then called, once for each silence and only after bytes. */
  readonly idleMs?: number;
  idle?(onFrame: (frame: Uint8Array) => void, onReject: (cause: RejectionCause) => void): void;
}

export interface AdapterSession {
  /** One for each place bytes come from: `from` is a characteristic's name, or empty on a stream. */
  createFramer(from: string): Framer;
  /**
   * What a frame says that came unasked. Pure: the same frame gives the same answer; throws nothing (a throw counts as
   * adapterError).
   */
  decode(frame: Uint8Array, from: string): PartReading | Rejection;
  /** For a station that only answers: the questions, once per connection. */
  talk?(): Talk;
}

export interface Adapter {
  readonly manifest: AdapterManifest;
  /** A fresh session, once per connection. */
  open(): AdapterSession;
}
