/**
 * Looks ahead in a process of its own: told readings by the batch, ended where it says nothing for too long, started again
 * by a ladder. What it knew it reads from the record anew; only its answers are waited for, never by the agent.
 */
import { type Timers, WattkeepError } from '#kit';
import type { OutlastAnswer } from '#messages';
import type { StationFacts } from '../../../derive/facts.ts';
import type { Ahead } from '../../../derive/outlook.ts';
import type { Told } from '../../../derive/told.ts';
import type { Log } from '../../../log/log.ts';
import { CRASH_WINDOW_MS, countCrash, delayOn, nextRung } from '../../../stations/index.ts';
import { errorOf } from '../reading/failed.ts';
import { KIND, type Kind } from '../reading/frames.ts';
import { type Reader, type ReaderEvents, startReader } from '../reading/reader.ts';
import type { ForesightOrder } from './orders.ts';
import type { PlanKnown } from './plan-known.ts';
import type { Foresight, OutlastOrder } from './port.ts';

/** It stays: what is left over is cleared away often. */
const FLAGS = ['--max-old-space-size=192', '--max-semi-space-size=1', '--optimize-for-size'];
/** Answers take some 10 ms; a busy computer, and the past of many stations, far longer. */
const SILENT_MS = 30_000;
/** Ends within ten minutes that are no accident any more. */
const ENDS_TOLD = 3;
/** Readings that wait for a question; some ten seconds of ten stations. */
const HELD_READINGS = 100;

export interface ApartParts {
  /** The built foresight-child.js. */
  readonly entry: string;
  /** Folder of the record. */
  readonly dir: string;
  readonly demo: boolean;
  readonly nowMs: () => number;
  readonly timers: Timers;
  /** In [0, 1). */
  readonly random: () => number;
  readonly log: Pick<Log, 'error'>;
}

export interface ForesightApart extends Foresight {
  /** Starts its process, for which all that is asked before waits. Idempotent. */
  begin(): void;
  /** Of the process that looks ahead now; undefined where none runs. */
  readonly pid: number | undefined;
  /** Why whoever looks ahead does not stay, as of now; null where it does. */
  trouble(): string | null;
}

interface Seat {
  facts: StationFacts;
  /** Told once more to a process that begins anew. */
  newest: Told | null;
}

interface Asked {
  readonly order: ForesightOrder;
  readonly station: string;
  take(payload: Buffer): void;
  fail(error: Error): void;
}

export const foresightApart = (parts: ApartParts): ForesightApart => new Apart(parts);

class Apart implements ForesightApart {
  readonly #parts: ApartParts;
  readonly #seats = new Map<string, Seat>();
  /** Questions without an answer, by their number. */
  readonly #asked = new Map<number, Asked>();
  readonly #onSettled = new Set<() => void>();
  #held: [string, Told][] = [];
  #reader: Reader | null = null;
  /** Those that were ended and are not gone as well. */
  readonly #running = new Set<Reader>();
  #lastAsk = 0;
  #endsAtMs: readonly number[] = [];
  #lastEnd = '';
  #begun = false;
  #closed = false;
  #cancelStart: () => void = () => undefined;
  #cancelSilence: (() => void) | null = null;

  constructor(parts: ApartParts) {
    this.#parts = parts;
  }

  begin(): void {
    if (this.#begun || this.#closed) return;
    this.#begun = true;
    this.#start();
    const reader = this.#reader!;
    this.#flush(reader);
    for (const [ask, { order }] of this.#asked) reader.ask(ask, order);
    this.#expect();
  }

  get pid(): number | undefined {
    return this.#reader?.pid;
  }

  seat(station: string, facts: StationFacts): void {
    this.#seats.set(station, { facts, newest: null });
    this.#tellSeat(station, facts);
  }

  leave(station: string): void {
    this.#seats.delete(station);
    for (const [ask, asked] of this.#asked) {
      if (asked.station !== station) continue;
      this.#asked.delete(ask);
      asked.fail(away('the station is gone'));
    }
    this.#tell({ act: 'leave', station });
  }

  setFacts(station: string, facts: StationFacts): void {
    const seat = this.#seats.get(station);
    if (seat === undefined) return;
    seat.facts = facts;
    this.#tell({ act: 'facts', station, facts });
  }

  add(station: string, told: Told): void {
    const seat = this.#seats.get(station);
    if (seat === undefined) return;
    seat.newest = told;
    if (this.#reader === null) return;
    this.#held.push([station, told]);
    if (this.#held.length >= HELD_READINGS) this.#flush(this.#reader);
  }

  ahead(station: string, atMs: number, answer: (ahead: Ahead) => void): void {
    this.#listen({ act: 'ahead', station, atMs }, station, payload => answer(JSON.parse(payload.toString()) as Ahead));
  }

  learned(station: string, answer: (memoryJson: string) => void): void {
    this.#listen({ act: 'learned', station }, station, payload => answer(payload.toString()));
  }

  outlast(order: OutlastOrder): Promise<OutlastAnswer> {
    return this.#promise({ act: 'outlast', order }, order.station);
  }

  planKnown(station: string, atMs: number): Promise<PlanKnown> {
    return this.#promise({ act: 'planKnown', station, atMs }, station);
  }

  trouble(): string | null {
    const nowMs = this.#parts.nowMs();
    return this.#endsAtMs.filter(at => nowMs - at < CRASH_WINDOW_MS).length < ENDS_TOLD ? null : this.#lastEnd;
  }

  settled(withinMs: number): Promise<void> {
    if (this.#asked.size === 0) return Promise.resolve();
    return new Promise(resolve => {
      const done = () => {
        cancel();
        this.#onSettled.delete(done);
        resolve();
      };
      const cancel = this.#parts.timers.after(withinMs, done);
      this.#onSettled.add(done);
    });
  }

  async close(): Promise<void> {
    this.#closed = true;
    this.#cancelStart();
    this.#letGo('the agent is stopping');
    await Promise.all([...this.#running].map(reader => reader.kill()));
  }

  #start(): void {
    const events: ReaderEvents = {
      frame: (kind, ask, payload) => {
        if (this.#reader === started) this.#hear(kind, ask, payload);
      },
      gone: why => {
        this.#running.delete(started);
        if (this.#reader === started) this.#startAgain(why);
      },
    };
    const started: Reader = startReader(this.#parts.entry, false, events, FLAGS);
    this.#running.add(started);
    this.#reader = started;
    for (const [station, { facts, newest }] of this.#seats) {
      this.#tellSeat(station, facts);
      if (newest !== null) this.#held.push([station, newest]);
    }
  }

  #startAgain(why: string): void {
    const { log, random, timers, nowMs } = this.#parts;
    this.#letGo(why);
    this.#lastEnd = why;
    this.#endsAtMs = countCrash(this.#endsAtMs, nowMs());
    const attempt = this.#endsAtMs.length;
    const delayMs = delayOn(nextRung({ failure: 'ended', attempt, crashes: 0 })!, random());
    log.error('foresight', 'the process that looks ahead ended', { why, againInMs: delayMs });
    this.#cancelStart = timers.after(delayMs, () => this.#start());
  }

  /** Nothing more is heard of the process; what was asked of it is not answered any more. */
  #letGo(why: string): Reader | null {
    const before = this.#reader;
    this.#reader = null;
    this.#held = [];
    const broken = [...this.#asked.values()];
    this.#asked.clear();
    this.#expect();
    for (const asked of broken) asked.fail(away(why));
    return before;
  }

  #tellSeat(station: string, facts: StationFacts): void {
    const { dir, demo, nowMs } = this.#parts;
    this.#tell({ act: 'seat', station, facts, dir, demo, nowMs: nowMs() });
  }

  #tell(order: ForesightOrder): void {
    if (this.#reader === null) return;
    this.#flush(this.#reader);
    this.#reader.ask(0, order);
  }

  #ask(asked: Asked): void {
    if (this.#reader === null && (this.#begun || this.#closed)) {
      asked.fail(away('it is being started again'));
      return;
    }
    this.#lastAsk = (this.#lastAsk % 0xffff_fffe) + 1;
    this.#asked.set(this.#lastAsk, asked);
    if (this.#reader === null) return;
    this.#flush(this.#reader);
    this.#reader.ask(this.#lastAsk, asked.order);
    if (this.#cancelSilence === null) this.#expect();
  }

  /** One that is not answered is asked again by itself. */
  #listen(order: ForesightOrder, station: string, take: (payload: Buffer) => void): void {
    this.#ask({ order, station, take, fail: () => undefined });
  }

  #promise<T>(order: ForesightOrder, station: string): Promise<T> {
    return new Promise((resolve, fail) => {
      this.#ask({ order, station, take: payload => resolve(JSON.parse(payload.toString()) as T), fail });
    });
  }

  #flush(reader: Reader): void {
    if (this.#held.length === 0) return;
    reader.ask(0, { act: 'readings', readings: this.#held } satisfies ForesightOrder);
    this.#held = [];
  }

  #hear(kind: Kind, ask: number, payload: Buffer): void {
    const asked = this.#asked.get(ask);
    this.#asked.delete(ask);
    this.#expect();
    if (kind === KIND.piece) asked?.take(payload);
    else if (kind === KIND.end) asked?.fail(away('it does not know the station'));
    else {
      const error = errorOf(payload);
      this.#parts.log.error('foresight', 'looking ahead met a fault', { why: error.message });
      asked?.fail(error);
    }
  }

  /** The time in which it must say something begins anew; none where nothing is asked. */
  #expect(): void {
    this.#cancelSilence?.();
    const { timers } = this.#parts;
    if (this.#asked.size > 0) this.#cancelSilence = timers.after(SILENT_MS, () => this.#late());
    else {
      this.#cancelSilence = null;
      for (const done of [...this.#onSettled]) done();
    }
  }

  #late(): void {
    void this.#reader?.kill();
    if (!this.#closed) this.#startAgain(`it said nothing for ${SILENT_MS / 1000} s`);
  }
}

const away = (why: string) =>
  new WattkeepError(
    'READING_ENDED',
    `Nothing can be said of what is ahead: the process that looks ahead is away (${why}).`,
    'Ask again in a minute; readings go on meanwhile.',
  );
