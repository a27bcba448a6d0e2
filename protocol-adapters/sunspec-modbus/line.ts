/**
 * One connection's questions, one after the other. Where questions carry no number, a reply that comes after its time
 * could pass for the next one: after a silence something is asked whose answer is known beforehand (the mark before the
 * first model), and a line keeps its order, so once that answer is here no older one can follow.
 */
import type { TalkAnswer, TalkStep } from '#kit';
import { MARK } from './models.ts';
import type { Reply } from './pdu.ts';
import type { Wire } from './wire.ts';

export type Told = Reply | { readonly silent: true };
/** Steps of a talk that end in `T`. */
export type Asking<T> = Generator<TalkStep, T, TalkAnswer>;

export interface Ask {
  readonly unit: number;
  readonly address: number;
  readonly count: number;
  /** Whether registers are those that were asked for; else they answer an older question. */
  readonly isIt?: (registers: DataView) => boolean;
  readonly withinMs: number;
  /** Default: what the framing asks for. */
  readonly quietMs?: number;
}

/** The longest reply takes 1.2 s at 2400 baud. */
export const REPLY_WITHIN_MS = 2000;
const SETTLE_TRIES = 3;
/** A gateway may let a short reply overtake a long one: so late a reply has come before it is asked again. */
const SETTLE_QUIET_MS = 1000;

export const isMark = (registers: DataView): boolean => registers.getUint32(0) === MARK;

export interface Line {
  readonly units: readonly number[];
  ask(ask: Ask): Asking<Told>;
  /** After a silence. False: there is still no answer. */
  settle(unit: number, base: number): Asking<boolean>;
}

export function createLine(wire: Wire): Line {
  let turn = 0;

  function* ask({ unit, address, count, isIt = () => true, withinMs, quietMs = wire.quietMs }: Ask): Asking<Told> {
    turn = (turn + 1) & 0xffff;
    const { send, reply } = wire.question(turn, unit, address, count);
    const accepts = (frame: Uint8Array): boolean => {
      const told = reply(frame);
      return told !== null && ('exception' in told || isIt(told.registers));
    };
    const answer = yield { step: 'ask', send, accepts, withinMs, quietMs };
    return ('frame' in answer ? reply(answer.frame) : null) ?? { silent: true };
  }

  function* settle(unit: number, base: number): Asking<boolean> {
    if (wire.numbered) return true;
    for (let i = 0; i < SETTLE_TRIES; i++) {
      const mark = { unit, address: base, count: 2, isIt: isMark, withinMs: REPLY_WITHIN_MS };
      const told = yield* ask({ ...mark, quietMs: SETTLE_QUIET_MS });
      if ('registers' in told) return true;
    }
    return false;
  }

  return { units: wire.units, ask, settle };
}
