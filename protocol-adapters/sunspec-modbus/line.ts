/**
 * One connection's questions, one after the other. Modbus RTU numbers none of them, so a reply that comes after its time
 * could pass for the next one. Two ways against it: `lead` changes with every silence, and whoever reads a block begins
 * so many registers earlier, so that its late reply has another length; and `settle` asks something whose answer is
 * known (the mark before the first model): a line keeps its order, behind that answer no older one can follow.
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
  /** Default: enough for the longest reply at 4800 baud; for what never came so quickly, in the end for 1200. */
  readonly withinMs?: number;
  /** Default: what the framing asks for. */
  readonly quietMs?: number;
}

const REPLY_WITHIN_MS = 1000;
const SLOW_REPLY_WITHIN_MS = 3000;
const SLOW_AFTER = 3;
const LEADS = 4;
const SETTLE_TRIES = 3;
/** A gateway may let a short reply overtake a long one: so late a reply has come before it is asked again. */
const SETTLE_QUIET_MS = 1000;

export const isMark = (registers: DataView): boolean => registers.getUint32(0) === MARK;

export interface Line {
  readonly units: readonly number[];
  ask(ask: Ask): Asking<Told>;
  /** Questions in a row without an answer. */
  silences(): number;
  /** Registers to begin earlier. */
  lead(): number;
  /** This device does not take reads that begin elsewhere than its models. */
  forgoLead(): void;
  /** After a silence that `lead` does not help against. False: there is still no answer. */
  settle(unit: number, base: number): Asking<boolean>;
}

export function createLine(wire: Wire): Line {
  let turn = 0;
  let silences = 0;
  let isSlow = false;
  /** The most registers that came within the shorter time. */
  let quickCount = 0;
  let lead = 0;
  let leads = wire.numbered ? 1 : LEADS;

  function hearNothing(): Told {
    silences += 1;
    isSlow ||= silences >= SLOW_AFTER;
    lead = (lead + 1) % leads;
    return { silent: true };
  }

  function* ask({ unit, address, count, isIt = () => true, withinMs, quietMs = wire.quietMs }: Ask): Asking<Told> {
    turn = (turn + 1) & 0xffff;
    const { send, reply } = wire.question(turn, unit, address, count);
    const accepts = (frame: Uint8Array): boolean => {
      const told = reply(frame);
      return told !== null && ('exception' in told || isIt(told.registers));
    };
    const limitMs = withinMs ?? (isSlow && count > quickCount ? SLOW_REPLY_WITHIN_MS : REPLY_WITHIN_MS);
    const answer = yield { step: 'ask', send, accepts, withinMs: limitMs, quietMs };
    const told = 'frame' in answer ? reply(answer.frame) : null;
    if (told === null) return hearNothing();
    silences = 0;
    if (limitMs <= REPLY_WITHIN_MS) quickCount = Math.max(quickCount, count + LEADS);
    return told;
  }

  function* settle(unit: number, base: number): Asking<boolean> {
    if (wire.numbered) return true;
    for (let i = 0; i < SETTLE_TRIES; i++) {
      const told = yield* ask({ unit, address: base, count: 2, isIt: isMark, quietMs: SETTLE_QUIET_MS });
      if ('registers' in told) return true;
    }
    return false;
  }

  return {
    units: wire.units,
    ask,
    silences: () => silences,
    lead: () => lead,
    forgoLead() {
      leads = 1;
      lead = 0;
    },
    settle,
  };
}
