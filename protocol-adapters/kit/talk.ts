/**
 * Asking a station: an adapter whose station only answers writes down its questions as a generator of steps, and the
 * kit asks, waits, times out and cancels. The generator sees no clock and no port, so it can be stepped by hand.
 *
 *   *talk() {
 *     for (;;) {
 *       const level = yield { step: 'ask', send: QUESTION, accepts: isLevel, withinMs: 500 };
 *       if ('frame' in level) yield { step: 'give', answer: decodeLevel(level.frame) };
 *       yield { step: 'rest' };
 *     }
 *   }
 */
import { STREAM } from './ble.ts';
import type { Timers } from './clock.ts';
import type { PartReading, Rejection } from './reading.ts';

export type TalkStep =
  /** Sends a message that the manifest lists, and waits for the frame that answers it. */
  | {
      readonly step: 'ask';
      readonly send: Uint8Array;
      /** Bluetooth: the characteristic written to, and the one that answers. */
      readonly to?: string;
      readonly from?: string;
      /** Whether a frame answers this question. One that does not is counted as `unexpected`. */
      readonly accepts: (frame: Uint8Array) => boolean;
      readonly withinMs: number;
      /** Silence kept before it is sent, where frames are told apart by it. Default none. */
      readonly quietMs?: number;
    }
  /** Bluetooth: reads a characteristic. */
  | { readonly step: 'read'; readonly from: string; readonly withinMs: number }
  /** A reading, or why there is none. */
  | { readonly step: 'give'; readonly answer: PartReading | Rejection }
  /** Until the next reading is due: `intervalMs` after the last rest ended, at once where that is past. */
  | { readonly step: 'rest' };

/** What an `ask` or a `read` comes back with; `give` and `rest` come back with `{ done: true }`. */
export type TalkAnswer = { readonly frame: Uint8Array } | { readonly timedOut: true } | { readonly done: true };

/** Ends only where this is no station of its kind: it then returns why, in words for the owner. */
export type Talk = Generator<TalkStep, string, TalkAnswer>;

export interface TalkSurroundings {
  readonly timers: Timers;
  readonly monoMs: () => number;
  readonly intervalMs: number;
  readonly send: (message: Uint8Array, to: string) => void;
  readonly read: (from: string) => void;
  readonly give: (answer: PartReading | Rejection) => void;
  /** What is held of a frame that came too late or in pieces is thrown away. */
  readonly clear: () => void;
  readonly newTalk: () => Talk;
}

export interface TalkRun {
  /** A complete frame. False: nobody waits for it. It is only valid during the call. */
  frame(frame: Uint8Array, from: string): boolean;
  /** Cancels whatever is going on. Idempotent. */
  end(): void;
}

/** After a question without answer nothing is asked for so long: a late answer must not pass for the next one. */
const DRAIN_MS = 50;
/** A station that is not of this kind is asked again after so long; one that answers nothing too. */
const AGAIN_MS = 5000;

interface Wait {
  readonly from: string;
  readonly accepts: (frame: Uint8Array) => boolean;
}

const DONE: TalkAnswer = { done: true };

/** Runs talks one after the other until ended. What the adapter throws is told as `adapterError`, then it starts anew. */
export function runTalk(around: TalkSurroundings): TalkRun {
  return new Talking(around);
}

class Talking implements TalkRun {
  readonly #around: TalkSurroundings;
  #talk: Talk;
  #wait: Wait | null = null;
  #cancel: () => void;
  #dueMs: number;
  #over = false;

  constructor(around: TalkSurroundings) {
    this.#around = around;
    this.#talk = around.newTalk();
    this.#dueMs = around.monoMs() + around.intervalMs;
    this.#cancel = around.timers.after(0, () => this.#go(DONE));
  }

  frame(frame: Uint8Array, from: string): boolean {
    if (this.#over || this.#wait === null || this.#wait.from !== from || !this.#wait.accepts(frame)) return false;
    this.#wait = null;
    this.#cancel();
    this.#go({ frame: new Uint8Array(frame) });
    return true;
  }

  end(): void {
    this.#over = true;
    this.#cancel();
    this.#talk.return('');
  }

  #go(first: TalkAnswer): void {
    let answer = first;
    try {
      while (!this.#over) {
        const next = this.#talk.next(answer);
        if (next.done === true) {
          this.#anew({ rejected: 'wrongProtocol', detail: next.value });
          return;
        }
        if (!this.#carryOut(next.value)) return;
        answer = DONE;
      }
    } catch (cause) {
      this.#wait = null;
      this.#anew({ rejected: 'adapterError', detail: `the talk threw ${String(cause)}` });
    }
  }

  /** True where the step is done at once. */
  #carryOut(step: TalkStep): boolean {
    const { send, read, give } = this.#around;
    switch (step.step) {
      case 'give':
        give(step.answer);
        return true;
      case 'rest':
        this.#rest();
        return false;
      case 'read':
        this.#await(step.from, () => true, step.withinMs);
        read(step.from);
        return false;
      case 'ask': {
        const ask = (): void => {
          this.#await(step.from ?? STREAM, step.accepts, step.withinMs);
          send(step.send, step.to ?? STREAM);
        };
        if (step.quietMs === undefined) ask();
        else this.#after(step.quietMs, ask);
        return false;
      }
    }
  }

  #after(delayMs: number, run: () => void): void {
    this.#cancel();
    this.#cancel = this.#around.timers.after(delayMs, run);
  }

  #await(from: string, accepts: Wait['accepts'], withinMs: number): void {
    this.#wait = { from, accepts };
    this.#after(withinMs, () => {
      this.#wait = null;
      this.#around.give({ rejected: 'unanswered', detail: `no answer within ${withinMs} ms` });
      this.#after(DRAIN_MS, () => {
        this.#around.clear();
        this.#go({ timedOut: true });
      });
    });
  }

  #rest(): void {
    const { monoMs, intervalMs } = this.#around;
    this.#after(Math.max(0, this.#dueMs - monoMs()), () => {
      // On the beat, unless a slow station cost a whole one: those are not made up for.
      const late = monoMs() - this.#dueMs > intervalMs;
      this.#dueMs = (late ? monoMs() : this.#dueMs) + intervalMs;
      this.#go(DONE);
    });
  }

  #anew(why: Rejection): void {
    const { give, intervalMs, monoMs, newTalk } = this.#around;
    give(why);
    this.#after(Math.max(AGAIN_MS, intervalMs), () => {
      this.#talk = newTalk();
      this.#dueMs = monoMs() + intervalMs;
      this.#go(DONE);
    });
  }
}
