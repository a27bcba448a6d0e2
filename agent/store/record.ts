/**
 * An opened record. The writing one keeps answering questions while its disk is full or read-only, says so in
 * savedState(), and after an I/O error believes nothing: it acknowledges no more, closes, opens again, checks, and
 * goes on with the next commit.
 */
import { statfsSync } from 'node:fs';
import { dirname } from 'node:path';
import type { Batch, RecordQueries, SavedState, SeriesRequest } from '#messages';
import { openAppender } from './append.ts';
import { type Connection, connectReader, connectWriter, quickCheck } from './connection.ts';
import { asRecordError, isIoError, recordError } from './failure.ts';
import type { Lock } from './lock.ts';
import type { OpenedRecord, OpenOptions } from './opened.ts';
import { prepareQueries, type Queries } from './query/index.ts';

/** Below this an I/O error is told as a full disk, which it mostly is then. */
const FULL_BYTES = 1024 * 1024;

abstract class AnsweringRecord implements RecordQueries {
  protected readonly options: OpenOptions;
  protected readonly path: string;

  constructor(path: string, options: OpenOptions) {
    this.path = path;
    this.options = options;
  }

  protected abstract queries(): Queries;
  abstract savedState(): SavedState;

  /** Whatever a question meets (a damaged block, a vanished disk) leaves as a WattkeepError. */
  #ask<T>(question: (queries: Queries) => T): T {
    try {
      return question(this.queries());
    } catch (error) {
      throw asRecordError(error, this.path);
    }
  }

  stations = () => this.#ask(q => q.stations());
  latest = (station: string) => this.#ask(q => q.latest(station));
  series = (request: SeriesRequest) => this.#ask(q => q.series(request));
  days = (station: string, from: string, to: string) => this.#ask(q => q.days(station, from, to));
  extent = (station: string) => this.#ask(q => q.extent(station));
  outages = (station: string, fromMs: number, toMs: number) => this.#ask(q => q.outages(station, fromMs, toMs));
  spans = (station: string, fromMs: number, toMs: number) => this.#ask(q => q.spans(station, fromMs, toMs));
  facts = (station: string) => this.#ask(q => q.facts(station));
  cursor = (station: string) => this.#ask(q => q.cursor(station));

  *readings(station: string, fromMs: number, toMs: number) {
    try {
      yield* this.queries().readings(station, fromMs, toMs);
    } catch (error) {
      throw asRecordError(error, this.path);
    }
  }
}

/** Questions only. */
export class ReadingRecord extends AnsweringRecord implements OpenedRecord {
  readonly #db: Connection;
  readonly #queries: Queries;
  readonly #frozenSinceAt: number | null;

  constructor(db: Connection, frozen: boolean, options: OpenOptions) {
    super(db.name, options);
    this.#db = db;
    this.#queries = prepareQueries(db);
    this.#frozenSinceAt = frozen ? options.nowMs() : null;
  }

  protected queries(): Queries {
    return this.#queries;
  }

  savedState(): SavedState {
    return {
      lastSavedAt: this.#queries.lastAt(),
      commitIntervalMs: this.options.commitIntervalMs,
      trouble: this.#frozenSinceAt === null ? null : 'DISK_READ_ONLY',
      troubleSinceAt: this.#frozenSinceAt,
    };
  }

  commit(): void {
    throw recordError('DISK_READ_ONLY', `${this.path} is open for reading only; nothing was saved`);
  }

  check(): string[] {
    return quickCheck(this.#db);
  }

  close(): void {
    this.#db.close();
  }
}

/** The one that writes. */
export class WritingRecord extends AnsweringRecord implements OpenedRecord {
  #db: Connection;
  #queries: Queries;
  #append: ((batch: Batch) => void) | null;
  readonly #lock: Lock;
  #closed = false;
  #lastSavedAt: number | null;
  #trouble: SavedState['trouble'] = null;
  #troubleSinceAt: number | null = null;

  constructor(path: string, db: Connection, lock: Lock, options: OpenOptions) {
    super(path, options);
    this.#db = db;
    this.#lock = lock;
    this.#queries = prepareQueries(db);
    this.#append = openAppender(db);
    this.#lastSavedAt = this.#queries.lastAt();
  }

  protected queries(): Queries {
    return this.#queries;
  }

  savedState(): SavedState {
    return {
      lastSavedAt: this.#lastSavedAt,
      commitIntervalMs: this.options.commitIntervalMs,
      trouble: this.#trouble,
      troubleSinceAt: this.#troubleSinceAt,
    };
  }

  commit(batch: Batch): void {
    try {
      if (this.#closed) throw recordError('INTERNAL', `${this.path} is closed; nothing was saved`);
      if (this.#append === null) this.#reopen();
      const append = this.#append;
      if (append === null)
        throw recordError(this.#trouble ?? 'INTERNAL', `${this.path} takes no writes; nothing was saved`);
      this.#db.transaction(() => append(batch)).immediate();
    } catch (error) {
      throw this.#failed(error);
    }
    this.#trouble = null;
    this.#troubleSinceAt = null;
    for (const { at } of batch.readings) this.#lastSavedAt = Math.max(this.#lastSavedAt ?? at, at);
  }

  check(): string[] {
    return quickCheck(this.#db);
  }

  close(): void {
    if (this.#closed) return;
    this.#closed = true;
    try {
      this.#db.pragma('wal_checkpoint(TRUNCATE)');
    } catch (error) {
      this.#note(asRecordError(error, this.path).code);
    } finally {
      this.#db.close();
      this.#lock.release();
    }
  }

  #note(code: string): void {
    if (code !== 'DISK_FULL' && code !== 'DISK_READ_ONLY' && code !== 'RECORD_DAMAGED') return;
    this.#troubleSinceAt ??= this.options.nowMs();
    this.#trouble = code;
  }

  #failed(error: unknown): Error {
    let failure = asRecordError(error, this.path);
    if (isIoError(error) && !this.#closed) {
      if (this.#isFull()) failure = recordError('DISK_FULL', `${this.path}: the disk is full`, { cause: error });
      this.#append = null;
      this.#reopen();
    }
    this.#note(failure.code);
    return failure;
  }

  #isFull(): boolean {
    const { bavail, bsize } = statfsSync(dirname(this.path));
    return bavail * bsize < FULL_BYTES;
  }

  /** Opens and checks again for writing; where that fails for reading, so that questions are still answered. */
  #reopen(): void {
    this.#db.close();
    try {
      this.#db = connectWriter(this.path);
      this.#append = openAppender(this.#db);
    } catch (error) {
      this.#note(asRecordError(error, this.path).code);
      this.#db = connectReader(this.path).db;
    }
    this.#queries = prepareQueries(this.#db);
  }
}
