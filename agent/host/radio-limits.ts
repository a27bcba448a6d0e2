/**
 * One operation of the library at a time, each with a limit and each given up where the link goes away meanwhile: the
 * library itself may wait for an answer for ever. A failure is a value.
 */
import type { Timers } from '#kit';
import { type RadioFailure, tookTooLong } from './radio-words.ts';

/** How long each step may take, ms. */
export interface RadioLimits {
  readonly powerMs: number;
  readonly findMs: number;
  readonly connectMs: number;
  readonly discoverMs: number;
  readonly subscribeMs: number;
  readonly answerMs: number;
}

/** A station advertises every few seconds at the least; the rest is what a slow one takes (common practice). */
export const LIMITS: RadioLimits = {
  powerMs: 5_000,
  findMs: 15_000,
  connectMs: 10_000,
  discoverMs: 10_000,
  subscribeMs: 5_000,
  answerMs: 5_000,
};

export type Outcome<T> = { readonly value: T } | { readonly failed: RadioFailure };

export interface Limits {
  /** Runs `start` once all before it are done. It calls `done`, or the limit or the end of the link does. */
  run<T>(what: string, limitMs: number, start: (done: (outcome: Outcome<T>) => void) => void): Promise<Outcome<T>>;
  /** The link is gone: what runs and what waits fails so. Idempotent. */
  end(why: RadioFailure): void;
}

export function createLimits(timers: Timers): Limits {
  let over: RadioFailure | null = null;
  let giveUp: ((why: RadioFailure) => void) | null = null;
  let last: Promise<unknown> = Promise.resolve();

  const one = <T>(what: string, limitMs: number, start: (done: (outcome: Outcome<T>) => void) => void) =>
    new Promise<Outcome<T>>(resolve => {
      if (over !== null) {
        resolve({ failed: over });
        return;
      }
      const cancel = timers.after(limitMs, () => settle({ failed: tookTooLong(what, limitMs) }));
      const settle = (outcome: Outcome<T>): void => {
        cancel();
        giveUp = null;
        resolve(outcome);
      };
      giveUp = why => settle({ failed: why });
      start(settle);
    });

  return {
    run(what, limitMs, start) {
      const outcome = last.then(() => one(what, limitMs, start));
      last = outcome;
      return outcome;
    },
    end(why) {
      over ??= why;
      giveUp?.(over);
    },
  };
}
