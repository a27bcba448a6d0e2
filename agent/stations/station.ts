/**
 * One station at work: carries out what the lifecycle decides, numbers its readings and counts what was refused.
 */
import type { DecodedReading, OpenLink, Reading, RejectionCause, Timers } from '#kit';
import type { CompositePlan } from './composite.ts';
import type { HeldPlan } from './held.ts';
import { type Effect, type Input, type Phase, START, type State, type Step, step } from './lifecycle.ts';
import type { PartStatus } from './part-status.ts';
import type { RejectionCounts, Runner } from './runner.ts';
import { openSession, type Session } from './session.ts';
import { told, UNSTEADY } from './unsteady.ts';

/** A reading without wall time: whoever records it knows the clock. */
export type StationReading = Omit<Reading, 'at' | 'clock'>;

export interface LinkedPlan {
  readonly kind: 'linked';
  /** Station id from the settings file. */
  readonly id: string;
  /** Id of a built-in adapter, or the absolute path of an owner's file. */
  readonly adapter: string;
  readonly openLink: OpenLink;
  /** The port, host or program, as the owner wrote it. */
  readonly link: string;
  /** Two plans of one id with equal keys are the same connection: it is kept running. */
  readonly key: string;
  /** It begins so: what the owner said before this run still holds. */
  readonly resting?: Resting;
}

/** Let go: for so long, or (null) until it is taken out again. */
export interface Resting {
  readonly forMs: number | null;
}

/** No cable: the owner types values from the station's screen. */
export interface TypedPlan {
  readonly kind: 'typed';
  readonly id: string;
}

export type StationPlan = LinkedPlan | TypedPlan | HeldPlan | CompositePlan;

export interface StationStatus {
  station: string;
  phase: Phase;
  failure?: string;
  detail?: string;
  attempt: number;
  /** 0: for ever. */
  attemptsAllowed: number;
  nextTryInMs: number | null;
  staleAfterMs: number | null;
  link: string;
  accepted: number;
  rejected: RejectionCounts;
  /** Of a composite station: how each of its parts stands. */
  parts?: PartStatus[];
}

export interface StationSurroundings {
  readonly clock: { monoMs(): number };
  readonly timers: Timers;
  /** In [0, 1). */
  readonly random: () => number;
  readonly newSessionId: () => string;
  readonly runner: Runner;
  readonly onReading: (reading: StationReading) => void;
  readonly onStatus: (status: StationStatus) => void;
}

/** Too many good frames are a flood, not noise. */
const isGarbage = (counts: RejectionCounts): boolean =>
  (Object.keys(counts) as RejectionCause[]).some(cause => cause !== 'tooFast');

export class Station {
  readonly plan: LinkedPlan;
  readonly #around: StationSurroundings;
  #state: State = START.state;
  #session: Session | null = null;
  #closing: Promise<void> = Promise.resolve();
  #cancelWake: (() => void) | null = null;
  #accepted = 0;
  #rejected: RejectionCounts = {};
  /** Names the connection that may still move the state; every other one is past. */
  #connection = 0;
  #over = false;
  /** Under which phase the link was last told to be breaking. */
  #toldUnsteady: Phase | null = null;

  constructor(plan: LinkedPlan, around: StationSurroundings) {
    this.plan = plan;
    this.#around = around;
  }

  start(): void {
    if (this.#over) return;
    if (this.plan.resting === undefined) this.#carryOut(START);
    else this.rest(this.plan.resting);
  }

  /** Lets the station go; `retryNow` takes it up again. */
  rest({ forMs }: Resting): void {
    this.#take(forMs === null ? { type: 'putAway' } : { type: 'release', forMs });
  }

  retryNow(): void {
    this.#take({ type: 'retryNow' });
  }

  status(): StationStatus {
    const nowMs = this.#around.clock.monoMs();
    const { phase, failure, detail, attempt, attemptsAllowed, tryAtMs, staleAfterMs } = told(this.#state, nowMs);
    return {
      station: this.plan.id,
      phase,
      ...(failure === undefined ? {} : { failure }),
      ...(detail === undefined ? {} : { detail }),
      attempt,
      attemptsAllowed,
      nextTryInMs: tryAtMs === null ? null : Math.max(0, tryAtMs - nowMs),
      staleAfterMs,
      link: this.plan.link,
      accepted: this.#accepted,
      rejected: { ...this.#rejected },
    };
  }

  /** Resolves when the link is free. Readings that were on their way are still told until then. */
  async close(): Promise<void> {
    this.#over = true;
    this.#cancelWake?.();
    this.#drop();
    await this.#closing;
  }

  #take(input: Input): void {
    if (this.#over) return;
    this.#carryOut(step(this.#state, input, this.#around.clock.monoMs(), this.#around.random()));
  }

  #carryOut({ state, effects }: Step): void {
    this.#state = state;
    for (const effect of effects) this.#act(effect);
  }

  #act(effect: Effect): void {
    switch (effect.type) {
      case 'open':
        // The port must be free before it is opened again.
        void this.#closing.then(() => this.#open(effect.alone));
        break;
      case 'drop':
        this.#drop();
        break;
      case 'wake':
        this.#cancelWake?.();
        this.#cancelWake = this.#around.timers.after(effect.inMs, () => this.#take({ type: 'woke' }));
        break;
      case 'sleep':
        this.#cancelWake?.();
        break;
      case 'tell':
        this.#tell();
        break;
    }
  }

  /** A message that is steady is told once. */
  #tell(): void {
    const status = this.status();
    const steady = status.failure === UNSTEADY ? status.phase : null;
    if (steady === null || steady !== this.#toldUnsteady) this.#around.onStatus(status);
    this.#toldUnsteady = steady;
  }

  #drop(): void {
    this.#connection += 1;
    if (this.#session !== null) this.#closing = this.#session.close();
    this.#session = null;
  }

  #open(alone: boolean): void {
    if (this.#over || this.#state.phase !== 'connecting') return;
    const { runner, timers, newSessionId, clock, onReading } = this.#around;
    const { id: station, adapter, openLink } = this.plan;
    const session = newSessionId();
    let seq = 0;
    const mine = this.#connection;
    const current = (input: Input): void => {
      if (this.#connection === mine) this.#take(input);
    };
    const opened = openSession({
      openLink,
      adapter,
      alone,
      runner,
      timers,
      events: {
        opened: () => current({ type: 'linkOpened' }),
        ready: ({ intervalMs, onChangeOnly }) =>
          current({ type: 'adapterReady', intervalMs, onChangeOnly: onChangeOnly === true }),
        reading: (reading: DecodedReading) => {
          seq += 1;
          this.#accepted += 1;
          current({ type: 'reading' });
          onReading({ station, session, seq, monoMs: clock.monoMs(), ...reading });
        },
        rejected: (counts, detail) => {
          this.#count(counts);
          if (isGarbage(counts)) current({ type: 'garbage', detail });
          if (!this.#over) this.#around.onStatus(this.status());
        },
        linkClosed: (failure, detail) => current({ type: 'linkClosed', failure, detail }),
        adapterEnded: (failure, detail) => current({ type: 'adapterEnded', failure, detail }),
      },
    });
    // A link that failed while it was being opened has been told already: there is nothing to keep.
    if (this.#connection === mine) this.#session = opened;
    else this.#closing = opened.close();
  }

  #count(counts: RejectionCounts): void {
    for (const [cause, count] of Object.entries(counts) as [RejectionCause, number][]) {
      this.#rejected[cause] = (this.#rejected[cause] ?? 0) + count;
    }
  }
}
