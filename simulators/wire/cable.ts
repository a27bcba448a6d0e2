/** Time as a cable needs it. */
export interface Timing {
  /** ms on a clock that does not go back. */
  nowMs(): number;
  /** Calls `act` after `delayMs`; the answer cancels it. */
  after(delayMs: number, act: () => void): () => void;
}

export type SendBytes = (bytes: Uint8Array, unpaced: boolean) => void;
/** Called once for each listener that comes, with the way back to it; what it gives takes that listener's bytes. */
export type OnListener = (answer: SendBytes) => (bytes: Uint8Array) => void;

/** What a plant's bytes leave by. Bytes sent while nobody listens are lost, as on a real cable. */
export interface Cable {
  /** Where a listener finds it: for the line that says so. */
  readonly where: Record<string, string | number>;
  /** To every listener. */
  readonly send: SendBytes;
  /** From now on what listeners say is heard; without it, it is thrown away. */
  hear(onListener: OnListener): void;
  /** Pulls the cable; listeners notice. Idempotent. */
  unplug(): Promise<void>;
  /** Puts it back in the same place. Idempotent. */
  replug(): Promise<void>;
  close(): void;
}
