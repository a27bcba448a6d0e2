/**
 * Where a station's link stands, as a pure machine: (state, input, now) → (state, effects). All times monotonic ms.
 *
 * connecting → waiting (open, nothing yet) → live ⇄ stale; whatever ends a session leads to retrying or parked. By the
 * owner's word from anywhere: released (let go for a while, taken up again by itself) or away (until it is taken out).
 * Readings cost no timer: one wake-up is set, looks how old the last reading is, and is set again for the rest.
 */
import type { LinkFailure } from '#kit';
import { attemptsAllowed, countCrash, delayOn, type Failure, isAdapterEnd, nextRung } from './backoff.ts';
import type { AdapterFailure } from './runner.ts';
import { countLoss, lasting, lossesPastInMs, type UNSTEADY } from './unsteady.ts';

export type Phase =
  | 'connecting'
  | 'waiting'
  | 'live'
  | 'stale'
  | 'retrying'
  | 'parked'
  | 'typed'
  /** Let go, so that somebody else can connect to it; taken up again by itself. */
  | 'released'
  /** Put away: nothing looks for it and nothing keeps it awake. */
  | 'away';

export interface State {
  readonly phase: Phase;
  /** What went wrong last. */
  readonly failure?: Failure | 'unreadable' | typeof UNSTEADY;
  readonly detail?: string;
  /** Failures in a row without a reading between them. */
  readonly attempt: number;
  readonly attemptsAllowed: number;
  readonly crashesAtMs: readonly number[];
  /** When a link that was being read was lost, as far as it still counts. */
  readonly lossesAtMs: readonly number[];
  /** When the next try is due; null unless retrying or released. */
  readonly tryAtMs: number | null;
  readonly lastReadingAtMs: number | null;
  /** First rejected frame since the last reading of this session. */
  readonly garbageSinceMs: number | null;
  /** Age after which a reading is stale; null for a source that speaks only on change, or before it is known. */
  readonly staleAfterMs: number | null;
}

export type Input =
  | { readonly type: 'linkOpened' }
  | { readonly type: 'linkClosed'; readonly failure: LinkFailure; readonly detail: string }
  | { readonly type: 'adapterReady'; readonly intervalMs: number; readonly onChangeOnly: boolean }
  | { readonly type: 'adapterEnded'; readonly failure: AdapterFailure; readonly detail: string }
  | { readonly type: 'reading' }
  | { readonly type: 'garbage'; readonly detail: string }
  | { readonly type: 'woke' }
  | { readonly type: 'retryNow' }
  | { readonly type: 'release'; readonly forMs: number }
  | { readonly type: 'putAway' };

export type Effect =
  /** Open the link; `alone`: the adapter ended before, do not let it take others along. */
  | { readonly type: 'open'; readonly alone: boolean }
  | { readonly type: 'drop' }
  /** Replace the wake-up. */
  | { readonly type: 'wake'; readonly inMs: number }
  | { readonly type: 'sleep' }
  | { readonly type: 'tell' };

export interface Step {
  readonly state: State;
  readonly effects: readonly Effect[];
}

const LEAST_STALE_MS = 5000;
const UNREADABLE_AFTER_MS = 3000;
/** Ends of the adapter after which its session gets a process of its own. */
const CRASHES_SHARED = 2;

/** Max(5 s, 3 × interval): the age after which a reading no longer says how things are. */
export const staleAfter = (intervalMs: number): number => Math.max(LEAST_STALE_MS, 3 * intervalMs);

const open = (crashes: number): Effect => ({ type: 'open', alone: crashes >= CRASHES_SHARED });
const tell: Effect = { type: 'tell' };

export const START: Step = {
  state: {
    phase: 'connecting',
    attempt: 0,
    attemptsAllowed: 0,
    crashesAtMs: [],
    lossesAtMs: [],
    tryAtMs: null,
    lastReadingAtMs: null,
    garbageSinceMs: null,
    staleAfterMs: null,
  },
  effects: [open(0), tell],
};

const RESTS: ReadonlySet<Phase> = new Set<Phase>(['released', 'away']);

/** Nothing goes on and nothing is wrong; with `forMs` for so long. */
function rest(state: State, phase: 'released' | 'away', forMs: number | null, nowMs: number): Step {
  const next: State = { ...healed(state), phase, tryAtMs: forMs === null ? null : nowMs + forMs };
  const wake: Effect = forMs === null ? { type: 'sleep' } : { type: 'wake', inMs: forMs };
  return { state: next, effects: [{ type: 'drop' }, wake, tell] };
}

const stay = (state: State): Step => ({ state, effects: [] });

/** Same state without what went wrong. */
function healed(state: State): State {
  const { failure: _failure, detail: _detail, ...rest } = state;
  return { ...rest, attempt: 0, attemptsAllowed: 0, garbageSinceMs: null };
}

function fail(state: State, failure: Failure, detail: string, nowMs: number, random: number): Step {
  const crashesAtMs = isAdapterEnd(failure) ? countCrash(state.crashesAtMs, nowMs) : state.crashesAtMs;
  const attempt = isAdapterEnd(failure) ? crashesAtMs.length : state.attempt + 1;
  const rung = nextRung({ failure, attempt, crashes: crashesAtMs.length });
  const delayMs = rung === null ? null : delayOn(rung, random);
  const next: State = {
    ...state,
    phase: rung === null ? 'parked' : 'retrying',
    failure,
    detail,
    attempt,
    attemptsAllowed: attemptsAllowed(failure),
    crashesAtMs,
    lossesAtMs: isAdapterEnd(failure) ? state.lossesAtMs : countLoss(state, nowMs),
    tryAtMs: delayMs === null ? null : nowMs + delayMs,
    garbageSinceMs: null,
  };
  const wake: Effect = delayMs === null ? { type: 'sleep' } : { type: 'wake', inMs: delayMs };
  return { state: next, effects: [{ type: 'drop' }, wake, tell] };
}

function connect(state: State): Step {
  const next: State = { ...state, phase: 'connecting', tryAtMs: null };
  return { state: next, effects: [{ type: 'sleep' }, open(state.crashesAtMs.length), tell] };
}

/** When a live station is to be looked at again. */
function wakeWhenLive({ staleAfterMs, lossesAtMs }: State, nowMs: number): readonly Effect[] {
  if (staleAfterMs !== null) return [{ type: 'wake', inMs: staleAfterMs }];
  return lossesAtMs.length === 0 ? [] : [{ type: 'wake', inMs: lossesPastInMs(lossesAtMs, nowMs) }];
}

/** Age of the newest reading checked; the wake-up is set for the rest of its time. */
function look(state: State, nowMs: number): Step {
  if (state.phase !== 'live' || state.lastReadingAtMs === null) return stay(state);
  // What is told of losses changes with time alone.
  const calm: readonly Effect[] = state.lossesAtMs.length === 0 ? [] : [tell];
  const kept = { ...state, lossesAtMs: lasting(state.lossesAtMs, nowMs) };
  if (state.staleAfterMs === null) return { state: kept, effects: [...wakeWhenLive(kept, nowMs), ...calm] };
  const leftMs = state.lastReadingAtMs + state.staleAfterMs - nowMs;
  if (leftMs > 0) return { state: kept, effects: [{ type: 'wake', inMs: leftMs }, ...calm] };
  return { state: { ...state, phase: 'stale' }, effects: [tell] };
}

function onReading(state: State, nowMs: number): Step {
  const isOpen = state.phase === 'waiting' || state.phase === 'live' || state.phase === 'stale';
  if (!isOpen) return stay(state);
  const quiet = state.phase === 'live' && state.failure === undefined && state.garbageSinceMs === null;
  if (quiet) return stay({ ...state, lastReadingAtMs: nowMs });
  const next: State = { ...healed(state), phase: 'live', lastReadingAtMs: nowMs };
  if (state.phase === 'live') return stay(next);
  return { state: next, effects: [...wakeWhenLive(next, nowMs), tell] };
}

/** Garbage for more than 3 s with no reading between: the signal is unreadable, whatever the last reading's age. */
function onGarbage(state: State, detail: string, nowMs: number): Step {
  if (state.phase !== 'waiting' && state.phase !== 'live' && state.phase !== 'stale') return stay(state);
  const sinceMs = state.garbageSinceMs ?? nowMs;
  const next: State = { ...state, garbageSinceMs: sinceMs };
  if (nowMs - sinceMs <= UNREADABLE_AFTER_MS || state.failure === 'unreadable') return stay(next);
  const phase = state.phase === 'live' ? 'stale' : state.phase;
  return { state: { ...next, phase, failure: 'unreadable', detail }, effects: [tell] };
}

/** `random` in [0, 1) is used where a delay is drawn. */
export function step(state: State, input: Input, nowMs: number, random: number): Step {
  switch (input.type) {
    case 'linkOpened':
      return state.phase === 'connecting' ? { state: { ...state, phase: 'waiting' }, effects: [tell] } : stay(state);
    case 'linkClosed':
    case 'adapterEnded':
      if (state.phase === 'retrying' || state.phase === 'parked' || RESTS.has(state.phase)) return stay(state);
      return fail(state, input.failure, input.detail, nowMs, random);
    case 'adapterReady': {
      const next = { ...state, staleAfterMs: input.onChangeOnly ? null : staleAfter(input.intervalMs) };
      const looked = look(next, nowMs);
      return {
        state: looked.state,
        effects: looked.effects.includes(tell) ? looked.effects : [...looked.effects, tell],
      };
    }
    case 'reading':
      return onReading(state, nowMs);
    case 'garbage':
      return onGarbage(state, input.detail, nowMs);
    case 'woke':
      return state.phase === 'retrying' || state.phase === 'released' ? connect(state) : look(state, nowMs);
    case 'retryNow':
      if (state.phase === 'parked') return connect({ ...healed(state), crashesAtMs: [] });
      return state.phase === 'retrying' || RESTS.has(state.phase) ? connect(state) : stay(state);
    case 'release':
      return rest(state, 'released', input.forMs, nowMs);
    case 'putAway':
      return rest(state, 'away', null, nowMs);
  }
}
