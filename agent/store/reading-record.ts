/** A record opened for questions only, beside the one that writes or on a disk that takes no writes. */
import type { RecordNote, SavedState } from '#messages';
import { AnsweringRecord } from './answering.ts';
import { type Connection, quickCheck } from './connection.ts';
import { asRecordError, recordError } from './failure.ts';
import { isDiskFull } from './folder.ts';
import { type BrokenDay, checkEverySeal } from './keep/day-seals.ts';
import { prepareFirstNotice } from './keep/first-notice.ts';
import { lookAtLog } from './log-size.ts';
import type { OpenedRecord, OpenOptions } from './opened.ts';
import { prepareQueries, type Queries } from './query/index.ts';

export class ReadingRecord extends AnsweringRecord implements OpenedRecord {
  readonly #db: Connection;
  readonly #queries: Queries;
  #trouble: SavedState['trouble'];
  #troubleSinceAt: number | null;
  readonly #toldBefore: () => RecordNote[];

  /** @param trouble why the disk takes no writes; null where another process writes this record */
  constructor(path: string, db: Connection, trouble: SavedState['trouble'], options: OpenOptions) {
    super(path, options);
    this.#db = db;
    this.#queries = prepareQueries(db);
    this.#toldBefore = prepareFirstNotice(db);
    this.#trouble = trouble;
    this.#troubleSinceAt = trouble === null ? null : options.nowMs();
  }

  queries(): Queries {
    return this.#queries;
  }

  savedState(): SavedState {
    const log = lookAtLog(this.path);
    return {
      lastSavedAt: this.#queries.lastAt(),
      commitIntervalMs: this.options.commitIntervalMs,
      trouble: this.#trouble,
      troubleSinceAt: this.#troubleSinceAt,
      logBytes: log.bytes,
      notes: [...log.notes, ...this.#toldBefore()],
    };
  }

  /** Whoever has something to save has no other that writes: from here on it is told that nothing is saved. */
  commit(): void {
    this.#trouble ??= isDiskFull(this.path) ? 'DISK_FULL' : 'DISK_READ_ONLY';
    this.#troubleSinceAt ??= this.options.nowMs();
    throw recordError('DISK_READ_ONLY', `${this.path} is open for reading only; nothing was saved`);
  }

  insertOlder(): void {
    this.commit();
  }

  check(): string[] {
    return quickCheck(this.#db);
  }

  checkSeals(): BrokenDay[] {
    try {
      return checkEverySeal(this.#db);
    } catch (error) {
      throw asRecordError(error, this.path);
    }
  }

  upkeep(): BrokenDay[] {
    return [];
  }

  close(): void {
    this.#db.close();
  }
}
