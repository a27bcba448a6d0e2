/**
 * A record whose disk took no writes when it was opened: it answers what is asked, tells that nothing is saved, and is
 * opened for writing with the first commit that can be.
 */
import { WattkeepError } from '#kit';
import type { Batch, SavedState } from '#messages';
import { AnsweringRecord } from './answering.ts';
import { asRecordError, recordError, troubleOf } from './failure.ts';
import type { OlderBatch } from './insert-older.ts';
import type { BrokenDay } from './keep/day-seals.ts';
import type { OpenedRecord, OpenOptions } from './opened.ts';
import type { Queries } from './query/index.ts';
import type { ReadingRecord } from './reading-record.ts';
import type { WritingRecord } from './writing-record.ts';

/** Opening may bring an old schema up and try to keep a copy before: not with each commit. */
const TRY_EVERY_MS = 10_000;

/** Both throw WattkeepError. */
export interface Openings {
  forReading(): ReadingRecord;
  forWriting(): WritingRecord;
}

export class LateRecord extends AnsweringRecord implements OpenedRecord {
  readonly #openings: Openings;
  #now: ReadingRecord | WritingRecord;
  #waits = true;
  #triedAt: number;
  #trouble: NonNullable<SavedState['trouble']>;
  readonly #troubleSinceAt: number;
  /** Of the last reading, as it was found: what whoever saves here goes on from. */
  readonly #lastAt: number | null;

  /** @param trouble what the disk said when it was to be opened for writing. Throws what reading throws */
  constructor(path: string, trouble: NonNullable<SavedState['trouble']>, options: OpenOptions, openings: Openings) {
    super(path, options);
    this.#openings = openings;
    this.#now = openings.forReading();
    this.#trouble = trouble;
    this.#triedAt = options.nowMs();
    this.#troubleSinceAt = this.#triedAt;
    this.#lastAt = this.#now.queries().lastAt();
  }

  queries(): Queries {
    return this.#now.queries();
  }

  savedState(): SavedState {
    const state = this.#now.savedState();
    return this.#waits ? { ...state, trouble: this.#trouble, troubleSinceAt: this.#troubleSinceAt } : state;
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
    if (!this.#waits) return;
    const at = this.options.nowMs();
    // A clock that was put back waits no longer than one that was not.
    if (!atLast && Math.abs(at - this.#triedAt) < TRY_EVERY_MS)
      throw recordError(this.#trouble, `${this.path} is open for reading only; nothing was saved`);
    this.#triedAt = at;
    // First: opening looks at the file, and closing that look would drop the locks that this process holds on it.
    this.#now.close();
    try {
      this.#now = this.#openToGoOn();
      this.#waits = false;
    } catch (error) {
      this.#now = this.#openings.forReading();
      const failure = asRecordError(error, this.path);
      this.#trouble = troubleOf(failure) ?? this.#trouble;
      throw failure;
    }
  }

  #openToGoOn(): WritingRecord {
    const opened = this.#openings.forWriting();
    if (opened.queries().lastAt() === this.#lastAt) return opened;
    opened.close();
    throw new WattkeepError(
      'DATA_BUSY',
      `${this.path}: another agent has saved here while this one could not; nothing was saved`,
      'Start this agent again: it goes on from what was saved.',
    );
  }
}
