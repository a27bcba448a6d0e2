/**
 * When to try again: a bounded, jittered ladder with named rungs. Pure: the randomness is passed in. A port that may
 * be plugged in again at any moment is looked for every few seconds for ever; anything else climbs to a try a minute.
 * An adapter that ends five times within ten minutes is parked until the owner acts.
 */
import type { LinkFailure } from '#kit';
import type { AdapterFailure } from './runner.ts';

export type Failure = LinkFailure | AdapterFailure;

export interface Rung {
  readonly name: 'at once' | 'in 2 s' | 'in 3 s' | 'in 5 s' | 'in 15 s' | 'in 30 s' | 'in a minute';
  /** The delay lies in [minMs, maxMs): jitter keeps several stations from knocking together. */
  readonly minMs: number;
  readonly maxMs: number;
}

const AT_ONCE: Rung = { name: 'at once', minMs: 500, maxMs: 1000 };
const IN_2_S: Rung = { name: 'in 2 s', minMs: 1600, maxMs: 2400 };
/** Replugged is back within 5 s: the longest wait plus opening stays below it. */
const IN_3_S: Rung = { name: 'in 3 s', minMs: 2500, maxMs: 3500 };
const LADDER: readonly Rung[] = [
  AT_ONCE,
  IN_2_S,
  { name: 'in 5 s', minMs: 4000, maxMs: 6000 },
  { name: 'in 15 s', minMs: 12_000, maxMs: 18_000 },
  { name: 'in 30 s', minMs: 24_000, maxMs: 36_000 },
  { name: 'in a minute', minMs: 48_000, maxMs: 72_000 },
];
const PLUGGED_AGAIN: readonly Rung[] = [AT_ONCE, IN_2_S, IN_3_S];

export const CRASHES_ALLOWED = 5;
export const CRASH_WINDOW_MS = 600_000;

/** Failures that only the owner can mend: trying again cannot help. */
const FOR_THE_OWNER: ReadonlySet<Failure> = new Set<Failure>(['unsupported', 'adapterUnknown', 'adapterApi']);
const ADAPTER_ENDED: ReadonlySet<Failure> = new Set<Failure>([
  'adapterCrashed',
  'adapterSilent',
  'adapterMemory',
  'adapterMessage',
]);

export const isAdapterEnd = (failure: Failure): boolean => ADAPTER_ENDED.has(failure);

/** The crashes that still count, with one more at `nowMs`. */
export const countCrash = (crashesAtMs: readonly number[], nowMs: number): readonly number[] => [
  ...crashesAtMs.filter(at => nowMs - at < CRASH_WINDOW_MS),
  nowMs,
];

export interface Trouble {
  readonly failure: Failure;
  /** Failures in a row without a reading between them, this one included: 1 up. */
  readonly attempt: number;
  /** Ends of the adapter within the window, this one included. */
  readonly crashes: number;
}

/** The rung to wait on, or null: parked until the owner acts. */
export function nextRung({ failure, attempt, crashes }: Trouble): Rung | null {
  if (FOR_THE_OWNER.has(failure)) return null;
  if (ADAPTER_ENDED.has(failure)) {
    return crashes >= CRASHES_ALLOWED ? null : (LADDER[crashes - 1] ?? AT_ONCE);
  }
  const ladder = failure === 'notFound' || failure === 'unplugged' ? PLUGGED_AGAIN : LADDER;
  return ladder[Math.min(attempt, ladder.length) - 1] ?? AT_ONCE;
}

/** Tries allowed in a row: 0 for ever. */
export function attemptsAllowed(failure: Failure | 'unreadable' | undefined): number {
  if (failure === undefined || failure === 'unreadable') return 0;
  if (FOR_THE_OWNER.has(failure)) return 1;
  return ADAPTER_ENDED.has(failure) ? CRASHES_ALLOWED : 0;
}

/** `random` in [0, 1). */
export const delayOn = (rung: Rung, random: number): number =>
  Math.round(rung.minMs + (rung.maxMs - rung.minMs) * random);
