/**
 * What this computer's radio offers, whoever runs it: peripherals connected, and a search. Declared here, so that this
 * room knows nothing of processes.
 */
import type { BleNeeds, LinkFailure } from '#kit';

/** Which peripheral is meant; all that is told must fit, and at least one is. */
export interface BleTarget {
  /** As advertised. */
  readonly name?: string | undefined;
  /** UUID of an advertised service. */
  readonly service?: string | undefined;
  /** Its address; on macOS the id which that computer gave it. */
  readonly address?: string | undefined;
}

/** The services of a peripheral, as discovered. UUIDs of 4 or 32 hex digits. */
export interface BleService {
  readonly uuid: string;
  readonly characteristics: readonly { readonly uuid: string; readonly can: readonly string[] }[];
}

/** A peripheral heard in a search. */
export interface BleHeard {
  readonly id: string;
  /** Null where it told none (yet). */
  readonly name: string | null;
  readonly services: readonly string[];
  readonly rssiDbm: number;
  /** False: another client may hold it. */
  readonly connectable: boolean;
}

export interface RadioEvents {
  /** Connected and everything discovered. */
  opened(name: string, services: readonly BleService[]): void;
  /** `place` in the endpoints of what was told by `use`. Only valid during the call. */
  bytes(place: number, chunk: Uint8Array): void;
  /** At most once; nothing follows. */
  closed(failure: LinkFailure, detail: string): void;
}

export interface RadioConnection {
  use(needs: BleNeeds): void;
  read(place: number): void;
  write(place: number, message: Uint8Array): void;
  /** Resolves when the peripheral is free. No `closed` follows. Idempotent. */
  close(): Promise<void>;
}

export interface RadioSearch {
  /** The adapter is on and listens. */
  began?(): void;
  heard(peripheral: BleHeard): void;
  /** There is no Bluetooth, and why. Nothing follows. */
  failed(failure: LinkFailure, detail: string): void;
}

export interface Radio {
  /** Finds, connects, discovers. Never throws. */
  open(target: BleTarget, events: RadioEvents): RadioConnection;
  /** Searches until the answer is called. */
  search(events: RadioSearch): () => void;
}
