/**
 * The Ledger of days that are over, worked out once. Such days do not change by themselves, so an answer is kept under a
 * tag of all that it rests on; while the tag is the same it comes from its file, and no process is started for it. What
 * was asked lately, and what a page asks first, is worked out after midnight, after a start and after a change, before it is
 * asked the next time.
 * An answer that reaches into today is never kept.
 */
import { createHash } from 'node:crypto';
import { civilDate, shiftDate, startOfDate } from '#energy/civil-day';
import { type Timers, WattkeepError } from '#kit';
import type { TaggedAnswer } from '../../../server/deps.ts';
import type { OpenedRecord } from '../../../store/open.ts';
import { repeat } from '../repeat.ts';
import { levelsAround } from '../telling/levels.ts';
import { type AskedBook, askedBook } from './asked-book.ts';
import type { KeptFiles } from './kept-files.ts';
import type { LedgerDaysAsked } from './order.ts';

/** Days of a shorter stretch are worked out about as fast as a file is found. */
const LEAST_DAYS = 7;
/** With what was asked lately, fewer than are kept: else one would push the other out. */
const MOST_FIRSTS = 8;
/** First look a minute after the start, when all else has settled. */
const FIRST_LOOK_MS = 60_000;
const LOOK_EVERY_MS = 5 * 60_000;
/** What a span ends with is looked for so long after it. */
const SPAN_REACH_MS = 48 * 3_600_000;
const DONE = { done: true, value: undefined } as const;

export type DaysAsked = Omit<LedgerDaysAsked, 'what'>;

export interface KeptLedgerParts {
  /** Of the record that is open now. */
  record(): Pick<OpenedRecord, 'pastMark' | 'latest' | 'spans' | 'series'>;
  /** Beside that record. */
  files(): KeptFiles;
  /** Folder of the files. */
  dir(): string;
  /** Works it out beside the agent. @param ahead nobody waits for it */
  ask(asked: DaysAsked, ahead: boolean): AsyncIterator<Uint8Array>;
  /** What a page asks first, whether or not one ever did; most wanted first. */
  firsts(): readonly DaysAsked[];
  /** Changes with the program that works it out. */
  program: string;
  nowMs(): number;
  timers: Timers;
}

export interface KeptLedger {
  ledger(asked: DaysAsked): TaggedAnswer;
  /** Works out what was asked lately, or would be asked first, and is not kept or not any more. */
  renew(): Promise<void>;
  /** Idempotent. */
  close(): void;
}

export function createKeptLedger(parts: KeptLedgerParts): KeptLedger {
  let closed = false;
  let renewing = false;
  let book: AskedBook | null = null;
  const bookNow = () => {
    const dir = parts.dir();
    if (book?.dir !== dir) book = askedBook(dir);
    return book;
  };

  function worked(tag: string, asked: DaysAsked, ahead: boolean): AsyncIterator<Uint8Array> {
    return parts.files().keeping(tag, parts.ask(asked, ahead), () => !closed && ledgerTag(parts, asked) === tag);
  }

  async function open(tag: string, asked: DaysAsked): Promise<AsyncIterator<Uint8Array>> {
    await bookNow().note(asked, parts.nowMs());
    // One that is being made ahead is not waited for: that goes on below the usual priority.
    return (await parts.files().read(tag)) ?? worked(tag, asked, false);
  }

  async function make(tag: string, asked: DaysAsked): Promise<void> {
    const pieces = worked(tag, asked, true);
    try {
      while (!closed && (await pieces.next()).done !== true);
    } catch (error) {
      // Asked for, it says so itself; until then it is tried again at the next look.
      if (!(error instanceof WattkeepError)) throw error;
    } finally {
      await pieces.return?.();
    }
  }

  async function renew(): Promise<void> {
    if (renewing || closed) return;
    renewing = true;
    try {
      const lately = await bookNow().lately(parts.nowMs());
      for (const asked of [...lately, ...parts.firsts().slice(0, MOST_FIRSTS)]) {
        const tag = closed ? null : ledgerTag(parts, asked);
        if (tag !== null && !(await parts.files().has(tag))) await make(tag, asked);
      }
    } finally {
      renewing = false;
    }
  }

  const look = () => void renew().catch(() => undefined);
  let stop = parts.timers.after(FIRST_LOOK_MS, () => {
    stop = repeat(parts.timers, () => LOOK_EVERY_MS, look);
    look();
  });
  return {
    ledger(asked) {
      const tag = ledgerTag(parts, asked);
      return tag === null ? { tag, body: parts.ask(asked, false) } : { tag, body: openedLate(() => open(tag, asked)) };
    },
    renew,
    close() {
      closed = true;
      stop();
    },
  };
}

/** Changes with all that an answer rests on; null where it is not to be kept. */
export function ledgerTag(
  { record, program, nowMs }: Pick<KeptLedgerParts, 'record' | 'program' | 'nowMs'>,
  { station, zone, from, to }: DaysAsked,
): string | null {
  const now = nowMs();
  const today = civilDate(now, zone);
  if (to >= today || shiftDate(from, LEAST_DAYS) > to) return null;
  const atMs = startOfDate(today, zone);
  const asked = record();
  // Asked of readings themselves, which are let go one day.
  const says = asked.latest(station)?.states.inputLimitedBy !== undefined;
  const past = asked.pastMark(station, { date: today, atMs, nowMs: now, readings: says });
  if (past === null) return null;
  // What a span of the last days ended with may have come since.
  const ends = asked
    .spans(station, atMs - SPAN_REACH_MS, atMs)
    .filter(({ reason, toMs }) => reason !== 'agentDown' && reason !== 'noReading' && toMs !== null)
    .map(span => levelsAround(asked, span));
  const all = [program, station, zone, from, to, today, past, ends, says];
  return createHash('sha256').update(JSON.stringify(all)).digest('base64url');
}

/** Nothing is opened before the first piece is asked for. */
function openedLate(open: () => Promise<AsyncIterator<Uint8Array>>): AsyncIterator<Uint8Array> {
  let opened: AsyncIterator<Uint8Array> | null = null;
  let over = false;
  return {
    async next() {
      opened ??= await open();
      if (!over) return opened.next();
      await opened.return?.();
      return DONE;
    },
    async return() {
      over = true;
      await opened?.return?.();
      return DONE;
    },
  };
}
