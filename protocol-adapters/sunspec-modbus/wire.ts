/** How questions and replies are wrapped: the two framings of Modbus behind one door. */
import type { Framer, RequestPattern } from '#kit';
import type { Reply } from './pdu.ts';

export interface Question {
  readonly send: Uint8Array;
  /** What a frame answers to this question, or null where it is no answer to it. Pure. */
  readonly reply: (frame: Uint8Array) => Reply | null;
}

export interface Wire {
  readonly createFramer: () => Framer;
  readonly maxFrameBytes: number;
  readonly requests: readonly RequestPattern[];
  /** Units that are tried, in this order. */
  readonly units: readonly number[];
  /** A question that never passes for another one, so a late reply cannot either. */
  readonly numbered: boolean;
  /** Silence kept before each question, ms. */
  readonly quietMs: number;
  /** `turn` counts up with each question of a connection. */
  readonly question: (turn: number, unit: number, address: number, count: number) => Question;
}
