/**
 * The reading desk: what takes long is asked of a process of its own, that is started when it is needed and ends after a
 * minute without a question. Files take turns by the piece, questions one at a time beside them; each piece has a
 * deadline, by which the process is ended. Its end is that of the answers under way, never that of the agent.
 */
import { ERROR_CODES, type ErrorCode, type Timers, WattkeepError } from '#kit';
import type { Log } from '../../../log/log.ts';
import { Answer } from './answer.ts';
import { type Failed, KIND, type Kind } from './frames.ts';
import { createLane, type LaneLimits } from './lane.ts';
import type { ReadOrder } from './order.ts';
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
   */
  ask(order: ReadOrder): AsyncIterableIterator<Uint8Array>;
  /** Ends the process and what is under way. Idempotent. */
  close(): void;
  /** Of the process that reads now; undefined where none runs. */
  readonly pid: number | undefined;
}

interface Seat {
  readonly order: ReadOrder;
  readonly answer: Answer;
  /** Pieces asked for that have not come. */
  owed: number;
  /** Ends the deadline of the next piece. */
  cancel(): void;
}

export function createReadingDesk({ entry, timers, log, limits = DESK_LIMITS }: DeskParts): ReadingDesk {
  const lanes = { question: createLane(limits.questions, timers), file: createLane(limits.files, timers) };
  const seats = new Map<number, Seat>();
  let reader: Reader | null = null;
  let lastId = 0;
  let closed = false;
  let cancelIdle: () => void = nothing;

  const failAll = (why: (seat: Seat) => WattkeepError) => {
    for (const [id, seat] of [...seats]) {
      seats.delete(id);
      seat.cancel();
      seat.answer.finish(why(seat));
    }
  };

  /** Nothing more is heard of that process, whatever it still writes. */
  const letGo = (why: (seat: Seat) => WattkeepError) => {
    reader = null;
    failAll(why);
  };

  const begin = (): Reader => {
    const started: Reader = startReader(entry, {
      frame: (kind, id, payload) => {
        if (reader === started) take(kind, id, payload);
      },
      gone(why) {
        if (reader !== started) return;
        log.error('reading', 'the process that reads the record ended', { why });
        letGo(() => ended(why));
      },
    });
    return started;
  };

  const expect = (seat: Seat) => {
    seat.cancel();
    seat.cancel = seat.owed === 0 ? nothing : timers.after(limits.pieceMs, () => late(seat));
  };

  const late = (seat: Seat) => {
    log.error('reading', 'an answer took too long: the process that reads the record is ended', {
      asked: seat.order.asked.what,
      limitMs: limits.pieceMs,
    });
    reader?.kill();
    letGo(one => (one === seat ? tookTooLong(limits.pieceMs) : ended('another answer took too long')));
  };

  const want = (id: number, seat: Seat) => {
    seat.owed++;
    reader?.more(id);
    if (seat.owed === 1) expect(seat);
  };

  const take = (kind: Kind, id: number, payload: Buffer) => {
    const seat = seats.get(id);
    if (seat === undefined) return;
    if (kind === KIND.piece) {
      seat.owed--;
      expect(seat);
      seat.answer.put(payload);
    } else if (kind === KIND.atWork) expect(seat);
    else {
      seats.delete(id);
      seat.cancel();
      seat.answer.finish(kind === KIND.failed ? errorOf(JSON.parse(payload.toString()) as Failed) : null);
    }
  };

  const rest = () => {
    if (!lanes.question.empty || !lanes.file.empty) return;
    cancelIdle();
    cancelIdle = timers.after(limits.idleMs, () => {
      const before = reader;
      reader = null;
      before?.finish();
    });
  };

  return {
    ask(order) {
      const lane = order.asked.what === 'recording' ? lanes.file : lanes.question;
      const id = ++lastId;
      let seat: Seat | null = null;
      const answer = new Answer({
        onBegin() {
          if (closed) answer.finish(ended('the agent is stopping'));
          else lane.enter(waiter);
        },
        onTaken() {
          if (seat !== null && seats.has(id)) want(id, seat);
        },
        onOver() {
          if (seats.delete(id)) {
            seat?.cancel();
            reader?.stop(id);
          }
          lane.over(waiter);
          rest();
        },
      });
      const waiter = {
        begin() {
          cancelIdle();
          seat = { order, answer, owed: 0, cancel: nothing };
          seats.set(id, seat);
          reader ??= begin();
          reader.ask(id, order);
          for (let i = 0; i < AHEAD; i++) want(id, seat);
        },
        refuse: () => answer.finish(busy()),
      };
      return answer;
    },
    close() {
      closed = true;
      cancelIdle();
      const before = reader;
      letGo(() => ended('the agent is stopping'));
      before?.kill();
    },
    get pid() {
      return reader?.pid;
    },
  };
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

function errorOf({ code, message, fix }: Failed): Error {
  const known = ERROR_CODES.find((one): one is ErrorCode => one === code);
  return known === undefined ? new Error(message) : new WattkeepError(known, message, fix);
}
