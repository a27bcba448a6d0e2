/** The real clock, timers and chance of this process: the only place where the agent looks at them. */
import { randomBytes } from 'node:crypto';
import type { Clock, Timers } from '#kit';
import type { ServerClock } from '../server/deps.ts';

export const clock: Clock = {
  nowMs: () => Date.now(),
  monoMs: () => Math.round(performance.now()),
};

export const timers: Timers = {
  after(delayMs, run) {
    const timer = setTimeout(run, delayMs);
    return () => clearTimeout(timer);
  },
};

export const serverClock: ServerClock = {
  now: clock.nowMs,
  monoMs: clock.monoMs,
  after: timers.after,
  every(periodMs, act) {
    const timer = setInterval(act, periodMs);
    return () => clearInterval(timer);
  },
};

export const random = (): number => Math.random();

/** Unique over the record's life. */
export const newId = (): string => randomBytes(9).toString('base64url');

/** IANA zone of this computer. */
export const machineZone = (): string => Intl.DateTimeFormat().resolvedOptions().timeZone;
