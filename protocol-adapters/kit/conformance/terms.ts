/**
 * What the conformance suite is given and what it says. It runs an adapter as the agent would, on the bytes its author
 * has, and needs no test runner, no clock and no port.
 */
import type { Capture } from '../capture.ts';
import type { QuantityKey } from '../quantities.ts';
import type { RejectionCause } from '../reading.ts';

/** Bytes that a station sends, as its author knows them. An adapter's file may export a list of them as `samples`. */
export interface Sample {
  /** What it shows, for the report. */
  readonly name: string;
  /** Pairs of hex digits; or the text itself. With start, checksum and line end: exactly what comes over the wire. */
  readonly hex?: string;
  readonly text?: string;
  /** Bluetooth: name of the characteristic. */
  readonly from?: string;
  /** Hex of the question that these bytes answer. Left out: they come unasked, or a characteristic is read. */
  readonly asked?: string;
  /** Bluetooth: the characteristic the question is written to. */
  readonly to?: string;
  /** Values that must come of it. */
  readonly expects?: { readonly [K in QuantityKey]?: number | null };
  /** Or why nothing does. */
  readonly rejected?: RejectionCause;
}

/** Bytes that a station sends, so long after it was asked. */
export interface Reply {
  /** Bluetooth: name of the characteristic; '' on a stream. */
  readonly from: string;
  readonly bytes: Uint8Array;
  readonly delayMs: number;
}

/** A station to talk with. Its values must stand still: what a late answer must not bring is told by them. */
export interface ScriptedStation {
  asked(message: Uint8Array, to: string, atMs: number): readonly Reply[];
  /** Bluetooth: a characteristic's value. */
  read(from: string, atMs: number): readonly Reply[];
  /** What it sends by itself, after the start. */
  readonly unasked: readonly Reply[];
}

export interface ConformanceOptions {
  /** A new one each time, for talks; left out: one that answers as in samples and captures. */
  readonly station?: () => ScriptedStation;
  readonly samples?: readonly Sample[];
  readonly captures?: readonly Capture[];
  /** Any whole number: the same one draws the same splits and the same noise. */
  readonly seed: number;
}

export interface Check {
  readonly name: string;
  /** Nothing was wrong; a pending check is neither. */
  readonly ok: boolean;
  /** Could not be run, and what it needs. */
  readonly pending?: true;
  /** One line. */
  readonly detail: string;
}

export interface ConformanceReport {
  readonly adapter: { readonly id: string; readonly version: string };
  readonly seed: number;
  /** No check found anything wrong. */
  readonly ok: boolean;
  readonly checks: readonly Check[];
}
