/**
 * The reading desk: what takes long is asked of a process of its own, that is started when it is needed and ends after a
 * minute without a question. Two of them: what a page waits for is read at the usual priority, files and what is worked
 * out ahead in another one below it. Files take turns by the piece, questions one at a time beside them; each piece has a
 * deadline, by which its process is ended. Its end is that of the answers under way, never that of the agent.
 */
import { type Timers, WattkeepError } from '#kit';
import type { Log } from '../../../log/log.ts';
import { Answer } from './answer.ts';
import { errorOf } from './failed.ts';
import { KIND, type Kind } from './frames.ts';
import { createLane, type Lane, type LaneLimits } from './lane.ts';
import type { Asked, ReadOrder } from './order.ts';
import { type Reader, startReader } from './reader.ts';

export interface DeskLimits {
  /** Answers that are one whole. */
  readonly questions: LaneLimits;
  /** Files, as fast as somebody takes them. */
  readonly files: LaneLimits;
  /** For each piece of an answer. */
  readonly pieceMs: number;
  readonly idleMs: number;
}

export const DESK_LIMITS: DeskLimits = {
  questions: { atOnce: 1, waiting: 16, waitMs: 60_000 },
  files: { atOnce: 4, waiting: 16, waitMs: 60_000 },
  pieceMs: 60_000,
  idleMs: 60_000,
};

/** Pieces made before they are taken: one on its way while the next one is made. */
const AHEAD = 2;

const nothing = () => undefined;

export interface DeskParts {
  /** The built read-child.js. */
  readonly entry: string;
  readonly timers: Timers;
  readonly log: Pick<Log, 'error'>;
  readonly limits?: DeskLimits;
}

export interface ReadingDesk {
  /**
   * The answer in pieces, asked for with the first one; giving the iterator up gives the rest up. Each piece may throw
   * WattkeepError: READING_BUSY, READING_ENDED, or what the record says.
   *
   * @param ahead nobody waits for it
   */
  ask(order: ReadOrder, ahead?: boolean): AsyncIterableIterator<Uint8Array>;
  /** Ends the processes and what is under way; settles once none holds the record any more. Idempotent. */
  close(): Promise<void>;
  /** Of the processes that read now. */
  readonly pids: readonly number[];
}

interface Seat {
  readonly id: number;
  readonly order: ReadOrder;
  readonly answer: Answer;
  /** Pieces asked for that have not come. */
  owed: number;
  /** Ends the deadline of the next piece. */
  cancel(): void;
}

export function createReadingDesk(parts: DeskParts): ReadingDesk {
  const waitedFor = new Desk(parts, false);
  const quiet = new Desk(parts, true);
  return {
    ask: (order, ahead = false) => (ahead || FILES.includes(order.asked.what) ? quiet : waitedFor).ask(order),
    async close() {
      await Promise.all([waitedFor.close(), quiet.close()]);
    },
    get pids() {
      return [waitedFor.pid, quiet.pid].filter(pid => pid !== undefined);
    },
  };
}

/** Somebody saves them and goes on with something else. */
const FILES: readonly Asked['what'][] = ['recording', 'daysCsv'];

/** One process, and what it is asked. */
class Desk {
  readonly #parts: DeskParts;
  readonly #isQuiet: boolean;
  readonly #limits: DeskLimits;
  readonly #questions: Lane;
  readonly #files: Lane;
  /** Answers under way, by their number. */
  readonly #seats = new Map<number, Seat>();
  #reader: Reader | null = null;
  /** Those that were let go and are not gone as well. */
  readonly #running = new Set<Reader>();
  #lastId = 0;
  #closed = false;
  #cancelIdle: () => void = nothing;

  constructor(parts: DeskParts, isQuiet: boolean) {
    this.#parts = parts;
    this.#isQuiet = isQuiet;
    this.#limits = parts.limits ?? DESK_LIMITS;
    this.#questions = createLane(this.#limits.questions, parts.timers);
    this.#files = createLane(this.#limits.files, parts.timers);
  }

  get pid(): number | undefined {
    return this.#reader?.pid;
  }

  ask(order: ReadOrder): AsyncIterableIterator<Uint8Array> {
    const lane = order.asked.what === 'recording' ? this.#files : this.#questions;
    const id = ++this.#lastId;
    const answer = new Answer({
      onBegin: () => {
        if (this.#closed) answer.finish(ended('the agent is stopping'));
        else lane.enter(waiter);
      },
      onTaken: () => {
        const seat = this.#seats.get(id);
        if (seat !== undefined) this.#want(seat);
      },
      onOver: () => {
        this.#giveUp(id);
        lane.over(waiter);
        this.#rest();
      },
    });
    const waiter = {
      begin: () => this.#seat({ id, order, answer, owed: 0, cancel: nothing }),
      refuse: () => answer.finish(busy()),
    };
    return answer;
  }

  async close(): Promise<void> {
    this.#closed = true;
    this.#cancelIdle();
    this.#letGo(() => ended('the agent is stopping'));
    await Promise.all([...this.#running].map(reader => reader.kill()));
  }

  #seat(seat: Seat): void {
    this.#cancelIdle();
    this.#seats.set(seat.id, seat);
    this.#reader ??= this.#start();
    this.#reader.ask(seat.id, seat.order);
    for (let i = 0; i < AHEAD; i++) this.#want(seat);
  }

  #start(): Reader {
    const started: Reader = startReader(this.#parts.entry, this.#isQuiet, {
      frame: (kind, id, payload) => {
        if (this.#reader === started) this.#take(kind, id, payload);
      },
      gone: why => {
        this.#running.delete(started);
        if (this.#reader !== started) return;
        this.#parts.log.error('reading', 'the process that reads the record ended', { why });
        this.#letGo(() => ended(why));
      },
    });
    this.#running.add(started);
    return started;
  }

  #take(kind: Kind, id: number, payload: Buffer): void {
    const seat = this.#seats.get(id);
    if (seat === undefined) return;
    if (kind === KIND.piece) {
      seat.owed--;
      this.#expect(seat);
      seat.answer.put(payload);
    } else if (kind === KIND.atWork) this.#expect(seat);
    else {
      this.#unseat(seat);
      seat.answer.finish(kind === KIND.failed ? errorOf(payload) : null);
    }
  }

  #want(seat: Seat): void {
    seat.owed++;
    this.#reader?.more(seat.id);
    if (seat.owed === 1) this.#expect(seat);
  }

  /** The deadline of the next piece begins anew; none where nothing is owed. */
  #expect(seat: Seat): void {
    seat.cancel();
    seat.cancel = seat.owed === 0 ? nothing : this.#parts.timers.after(this.#limits.pieceMs, () => this.#late(seat));
  }

  #late(seat: Seat): void {
    const { pieceMs } = this.#limits;
    this.#parts.log.error('reading', 'an answer took too long: the process that reads the record is ended', {
      asked: seat.order.asked.what,
      limitMs: pieceMs,
    });
    void this.#letGo(one => (one === seat ? tookTooLong(pieceMs) : ended('another answer took too long')))?.kill();
  }

  /** Nothing more is heard of the process, whatever it still writes; what it was answering breaks off. */
  #letGo(why: (seat: Seat) => WattkeepError): Reader | null {
    const before = this.#reader;
    this.#reader = null;
    for (const seat of [...this.#seats.values()]) {
      this.#unseat(seat);
      seat.answer.finish(why(seat));
    }
    return before;
  }

  #unseat(seat: Seat): void {
    this.#seats.delete(seat.id);
    seat.cancel();
  }

  /** Nobody takes the rest. */
  #giveUp(id: number): void {
    const seat = this.#seats.get(id);
    if (seat === undefined) return;
    this.#unseat(seat);
    this.#reader?.stop(id);
  }

  #rest(): void {
    if (this.#closed || !this.#questions.empty || !this.#files.empty) return;
    this.#cancelIdle();
    this.#cancelIdle = this.#parts.timers.after(this.#limits.idleMs, () => {
      const before = this.#reader;
      this.#reader = null;
      before?.finish();
    });
  }
}

const busy = () =>
  new WattkeepError(
    'READING_BUSY',
    'Too much is being read from the record at once.',
    'Wait until a download is done, then ask again.',
  );

const ended = (why: string) =>
  new WattkeepError(
    'READING_ENDED',
    `The answer broke off: the process that reads the record ended (${why}).`,
    'Ask again; nothing of the record is lost.',
  );

const tookTooLong = (limitMs: number) =>
  new WattkeepError(
    'READING_ENDED',
    `The record gave no answer within ${Math.round(limitMs / 1000)} s, so the reading was ended.`,
    'Ask for a shorter stretch, or again when the computer has less to do.',
  );
