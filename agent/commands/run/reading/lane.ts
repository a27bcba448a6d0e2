/** A queue of what takes turns: so many at once, so many waiting, each for so long. Nothing here knows what it is. */
import type { Timers } from '#kit';

export interface LaneLimits {
  readonly atOnce: number;
  readonly waiting: number;
  readonly waitMs: number;
}

export interface Waiter {
  /** Its turn has come; it calls `over` of the lane once. */
  begin(): void;
  /** It waited for too long, or too many did. */
  refuse(): void;
}

export interface Lane {
  enter(waiter: Waiter): void;
  /** One that was begun has ended, or one that waits does not want any more. */
  over(waiter: Waiter): void;
  readonly empty: boolean;
}

export function createLane({ atOnce, waiting, waitMs }: LaneLimits, timers: Timers): Lane {
  const begun = new Set<Waiter>();
  const queue = new Map<Waiter, () => void>();
  const take = () => {
    for (const [waiter, cancel] of queue) {
      if (begun.size >= atOnce) return;
      cancel();
      queue.delete(waiter);
      begun.add(waiter);
      waiter.begin();
    }
  };
  return {
    enter(waiter) {
      if (queue.size >= waiting) return waiter.refuse();
      const late = () => {
        queue.delete(waiter);
        waiter.refuse();
      };
      queue.set(waiter, timers.after(waitMs, late));
      take();
    },
    over(waiter) {
      queue.get(waiter)?.();
      queue.delete(waiter);
      begun.delete(waiter);
      take();
    },
    get empty() {
      return begun.size + queue.size === 0;
    },
  };
}
