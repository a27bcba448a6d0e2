/** The reading desk on a record of one station at a reading a second, with the real process behind it. */
import { onTestFinished } from 'vitest';
import type { Reading } from '#kit';
import { createReadingDesk, DESK_LIMITS, type DeskLimits } from '../../agent/commands/run/reading/desk.ts';
import type { Asked, ReadOrder, RecordingAsked } from '../../agent/commands/run/reading/order.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';
import { bundle } from './child.ts';
import { type HandClock, handClock } from './hand-clock.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from './record.ts';

const A_COMMIT = 3_600;

/** Readings from `from` on, a second apart; no two are alike. */
export const seconds = (from: number, count: number): Reading[] =>
  Array.from({ length: count }, (_, i) =>
    reading(from + i, {
      inputPowerW: ((from + i) * 7919) % 4000,
      outputPowerW: ((from + i) * 104_729) % 2500,
      stateOfChargePct: ((from + i) % 1000) / 10,
    }),
  );

export interface SecondsRecord {
  dir: string;
  record: OpenedRecord;
  /** Commits so many more readings. @param aCommit readings in each */
  add(count: number, aCommit?: number): void;
}

/** A record that stays open for writing, as the agent's does. */
export function recordOfSeconds(count: number): SecondsRecord {
  const dir = freshFolder();
  const record = openTestRecord(dir);
  let next = 1;
  const add = (more: number, aCommit = A_COMMIT) => {
    for (const end = next + more; next < end; ) {
      const readings = seconds(next, Math.min(aCommit, end - next));
      next += readings.length;
      record.commit(batch(readings));
    }
  };
  add(count);
  return { dir, record, add };
}

export interface TestDesk {
  clock: HandClock;
  said: string[];
  pid(): number | undefined;
  /** First of what a page waits for, then of files. */
  pids(): readonly number[];
  /** The recording as CSV, or what is asked instead. */
  ask(asked?: Partial<RecordingAsked>): AsyncIterableIterator<Uint8Array>;
  askFor(asked: Asked): AsyncIterableIterator<Uint8Array>;
  close(): Promise<void>;
  /** What it still waits for by the clock. */
  waits(): number;
}

export function openTestDesk(dir: string, limits: Partial<DeskLimits> = {}): TestDesk {
  const clock = handClock(START_AT);
  const said: string[] = [];
  const waiting = new Set<() => void>();
  const after = (delayMs: number, act: () => void) => {
    const cancel = () => {
      waiting.delete(cancel);
      stop();
    };
    const stop = clock.after(delayMs, () => {
      waiting.delete(cancel);
      act();
    });
    waiting.add(cancel);
    return cancel;
  };
  const desk = createReadingDesk({
    entry: bundle('agent/commands/run/read-child.ts'),
    timers: { after },
    log: { error: (_area, message) => void said.push(message) },
    limits: { ...DESK_LIMITS, ...limits },
  });
  onTestFinished(() => desk.close());
  return {
    clock,
    said,
    pid: () => desk.pids[0],
    pids: () => desk.pids,
    ask: asked => desk.ask(orderOf(dir, asked)),
    askFor: asked => desk.ask({ ...orderOf(dir), asked }),
    close: () => desk.close(),
    waits: () => waiting.size,
  };
}

export const orderOf = (dir: string, asked: Partial<RecordingAsked> = {}): ReadOrder => ({
  dir,
  demo: false,
  nowMs: START_AT,
  asked: {
    what: 'recording',
    format: 'csv',
    station: 'shed',
    fromMs: 0,
    toMs: Number.MAX_SAFE_INTEGER,
    zone: 'UTC',
    version: '1.2.3',
    ...asked,
  },
});

/** All that is left of an answer. */
export async function whole(answer: AsyncIterable<Uint8Array>): Promise<Buffer> {
  const pieces: Uint8Array[] = [];
  for await (const piece of answer) pieces.push(piece);
  return Buffer.concat(pieces);
}

/** Waits until it holds. */
export async function until(holds: () => boolean): Promise<void> {
  while (!holds()) await new Promise(resolve => setTimeout(resolve, 10));
}

export function isAlive(pid: number): boolean {
  try {
    process.kill(pid, 0);
    return true;
  } catch {
    return false;
  }
}
