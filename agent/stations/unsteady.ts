/**
 * A link that keeps breaking while readings come in between: told as that, once and steadily, instead of as a storm of
 * losses and recoveries. Pure; all times monotonic ms.
 */
import type { State } from './lifecycle.ts';

const WINDOW_MS = 60_000;
const LOSSES = 3;

/** What there was to lose. */
const WAS_READ: readonly unknown[] = ['live', 'stale'];
/** What a breaking link goes through. */
const PASSING: readonly unknown[] = ['connecting', 'waiting', 'live', 'stale', 'retrying'];

export const UNSTEADY = 'unsteady';
const DETAIL = 'the connection keeps breaking';

/** The losses that still count, with one more where a link that was being read is lost now. */
export const countLoss = ({ lossesAtMs, phase }: State, nowMs: number): readonly number[] =>
  WAS_READ.includes(phase) ? [...lasting(lossesAtMs, nowMs), nowMs] : lossesAtMs;

export const lasting = (lossesAtMs: readonly number[], nowMs: number): readonly number[] =>
  lossesAtMs.filter(at => nowMs - at < WINDOW_MS);

/** After so long the last of them is past. */
export const lossesPastInMs = (lossesAtMs: readonly number[], nowMs: number): number =>
  Math.max(0, (lossesAtMs.at(-1) ?? nowMs - WINDOW_MS) + WINDOW_MS - nowMs);

/**
 * The state as it is told: three losses within a minute are one steady message, live while the last reading still holds
 * and stale from then on.
 */
export function told(state: State, nowMs: number): State {
  const { lossesAtMs, lastReadingAtMs, staleAfterMs, phase } = state;
  const isFresh = nowMs - (lastReadingAtMs ?? 0) < (staleAfterMs ?? WINDOW_MS);
  if (lastReadingAtMs === null || !PASSING.includes(phase)) return state;
  if (lasting(lossesAtMs, nowMs).length < LOSSES || state.failure === 'unreadable') return state;
  // It does not come back any more, which is another thing to say.
  if (!isFresh && phase === 'retrying' && state.failure !== 'unplugged') return state;
  const steady = isFresh ? 'live' : 'stale';
  return { ...state, phase: steady, failure: UNSTEADY, detail: DETAIL, attempt: 0, attemptsAllowed: 0, tryAtMs: null };
}
