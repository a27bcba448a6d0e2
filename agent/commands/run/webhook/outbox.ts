/**
 * What waits to be sent: one at a time, three tries each, in order. Nothing waits for it, and it holds few: a receiver
 * that is away for hours gets the newest.
 */
import type { Timers } from '#kit';
import type { AlarmEvent } from './event.ts';

export const PAUSES_MS: readonly number[] = [2_000, 15_000];
const HELD_AT_MOST = 20;

export interface OutboxParts {
  readonly timers: Timers;
  /** Null where it was taken, else why not. */
  send(event: AlarmEvent): Promise<string | null>;
  onLost(why: string, tries: number): void;
}

export interface Outbox {
  add(event: AlarmEvent): void;
  /** Lets go of what waits. Idempotent. */
  close(): void;
}

export function createOutbox({ timers, send, onLost }: OutboxParts): Outbox {
  const waiting: AlarmEvent[] = [];
  let busy = false;
  let closed = false;
  let cancelPause: (() => void) | null = null;

  const pause = (ms: number) =>
    new Promise<void>(resolve => {
      const cancel = timers.after(ms, resolve);
      cancelPause = () => {
        cancel();
        resolve();
      };
    });

  async function deliver(event: AlarmEvent): Promise<void> {
    for (let tries = 1; !closed; tries++) {
      const why = await send(event);
      if (why === null) return;
      const ms = PAUSES_MS[tries - 1];
      if (ms === undefined) {
        onLost(why, tries);
        return;
      }
      await pause(ms);
    }
  }

  async function work(): Promise<void> {
    if (busy) return;
    busy = true;
    for (let next = waiting.shift(); next !== undefined && !closed; next = waiting.shift()) await deliver(next);
    busy = false;
  }

  return {
    add(event) {
      if (closed) return;
      waiting.push(event);
      if (waiting.length > HELD_AT_MOST) {
        waiting.shift();
        onLost('too many are waiting', 0);
      }
      void work();
    },
    close() {
      closed = true;
      waiting.length = 0;
      cancelPause?.();
    },
  };
}
