/**
 * A record whose disk took no writes when it was opened: it answers what is asked, tells that nothing is saved, and is
 * opened for writing with the first commit that can be.
 */
import { WattkeepError } from '#kit';
import type { Batch, SavedState } from '#messages';
import { AnsweringRecord } from './answering.ts';
import { asRecordError, recordError } from './failure.ts';
import type { OlderBatch } from './insert-older.ts';
import type { BrokenDay } from './keep/day-seals.ts';
import type { OpenedRecord, OpenOptions } from './opened.ts';
import type { Queries } from './query/index.ts';
import type { ReadingRecord } from './reading-record.ts';
import type { WritingRecord } from './writing-record.ts';

/** Opening may bring an old schema up and try to keep a copy before: not with each commit. */
const TRY_EVERY_MS = 10_000;

export class LateRecord extends AnsweringRecord implements OpenedRecord {
  #past: ReadingRecord | null;
  #now: ReadingRecord | WritingRecord;
  readonly #openForWriting: () => WritingRecord;
  #triedAt: number;
  #trouble: NonNullable<SavedState['trouble']>;
  readonly #troubleSinceAt: number;
  /** Of the last reading, as it was found: what whoever saves here goes on from. */
  readonly #lastAt: number | null;

  /** @param trouble what the disk said when it was to be opened for writing @param openForWriting throws WattkeepError */
  constructor(
    path: string,
    past: ReadingRecord,
    trouble: NonNullable<SavedState['trouble']>,
    options: OpenOptions,
    openForWriting: () => WritingRecord,
  ) {
    super(path, options);
    this.#past = past;
    this.#now = past;
    this.#trouble = trouble;
    this.#openForWriting = openForWriting;
    this.#triedAt = options.nowMs();
    this.#troubleSinceAt = this.#triedAt;
    this.#lastAt = past.queries().lastAt();
  }

  queries(): Queries {
    return this.#now.queries();
  }

  savedState(): SavedState {
    const state = this.#now.savedState();
    return this.#past === null ? state : { ...state, trouble: this.#trouble, troubleSinceAt: this.#troubleSinceAt };
  }

  commit(batch: Batch, atLast = false): void {
    this.#begin(atLast);
    this.#now.commit(batch, atLast);
  }

  insertOlder(batch: OlderBatch): void {
    this.#begin(false);
    this.#now.insertOlder(batch);
  }

  check(): string[] {
    return this.#now.check();
  }

  checkSeals(): BrokenDay[] {
    return this.#now.checkSeals();
  }

  upkeep(): BrokenDay[] {
    return this.#now.upkeep();
  }

  close(): void {
    this.#now.close();
  }

  /** Opens for writing where that is not done yet. Throws WattkeepError while it cannot be. */
  #begin(atLast: boolean): void {
    const past = this.#past;
    if (past === null) return;
    const at = this.options.nowMs();
    // A clock that was put back waits no longer than one that was not.
    if (!atLast && Math.abs(at - this.#triedAt) < TRY_EVERY_MS)
      throw recordError(this.#trouble, `${this.path} is open for reading only; nothing was saved`);
    this.#triedAt = at;
    const opened = this.#openOrNote();
    if (opened.queries().lastAt() !== this.#lastAt) {
      opened.close();
      throw new WattkeepError(
        'DATA_BUSY',
        `${this.path}: another agent has saved here while this one could not; nothing was saved`,
        'Start this agent again: it goes on from what was saved.',
      );
    }
    this.#now = opened;
    this.#past = null;
    past.close();
  }

  #openOrNote(): WritingRecord {
    try {
      return this.#openForWriting();
    } catch (error) {
      const failure = asRecordError(error, this.path);
      const { code } = failure;
      if (code === 'DISK_FULL' || code === 'DISK_READ_ONLY' || code === 'RECORD_DAMAGED') this.#trouble = code;
      throw failure;
    }
  }
}
