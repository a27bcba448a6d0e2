/**
 * The record that writes. It keeps answering questions while its disk is full or read-only, says so in savedState(),
 * and after an I/O error believes nothing: it acknowledges no more, closes, opens again, checks, writes all that the
 * log holds into the file proper (a failed flush may have marked it clean unwritten), and goes on with the next commit.
 */
import { dirname } from 'node:path';
import type { WattkeepError } from '#kit';
import type { Batch, RecordNote, SavedState } from '#messages';
import { AnsweringRecord } from './answering.ts';
import { openAppender } from './append.ts';
import { prepareCloseHours } from './close-hours.ts';
import { noteClosed } from './closed-whole.ts';
import { type Connection, connectReader, connectWriter, emptyLog, quickCheck } from './connection.ts';
import { asRecordError, isIoError, recordError, troubleOf } from './failure.ts';
import { asDiskError } from './folder.ts';
import { type OlderBatch, openInserter } from './insert-older.ts';
import { hasDamageSign, recentRescue, signed } from './keep/damage.ts';
import { type BrokenDay, checkEverySeal, type DaySeals, openSeals } from './keep/day-seals.ts';
import { openReserve, type Reserve, spaceOf } from './keep/reserve.ts';
import { openUpkeep, type Upkeep } from './keep/upkeep.ts';
import type { Lock } from './lock.ts';
import { lookAtLog } from './log-size.ts';
import type { LostLog } from './lost-log.ts';
import type { OpenedRecord, OpenOptions } from './opened.ts';
import { type Numbering, openNumbering } from './own-number.ts';
import { prepareQueries, type Queries } from './query/index.ts';
import { watchFile } from './same-file.ts';
import { withoutSurvivors } from './survivors.ts';

export class WritingRecord extends AnsweringRecord implements OpenedRecord {
  #db: Connection;
  #queries: Queries;
  /** null while the record cannot be opened for writing. */
  #append: ((batch: Batch) => void) | null;
  #numbering: Numbering;
  readonly #lock: Lock;
  #closed = false;
  #lastSavedAt: number | null;
  #trouble: SavedState['trouble'] = null;
  #troubleSinceAt: number | null = null;
  readonly #reserve: Reserve;
  #upkeep: Upkeep | null = null;
  /** Made with the first readings that are older than the record. */
  #older: { insert(batch: OlderBatch): void; seals: DaySeals } | null = null;
  readonly #found: RecordNote[];
  /** Batches that failed in a way that leaves open whether they were written, until the record is open again. */
  #uncertain: Batch[] = [];
  /** Throws where the file that is open lies there no more. */
  #refuseWhereGone: () => void;

  /** @param options `lostLog`: that it was opened without its log */
  constructor(path: string, db: Connection, lock: Lock, options: OpenOptions & { lostLog?: LostLog | null }) {
    super(path, options);
    this.#db = db;
    this.#lock = lock;
    this.#reserve = openReserve(dirname(path));
    this.#queries = prepareQueries(db);
    this.#append = openAppender(db);
    this.#numbering = openNumbering(db);
    this.#refuseWhereGone = watchFile(path);
    this.#lastSavedAt = this.#queries.lastAt();
    const rescued = recentRescue(db, options.nowMs());
    this.#found = rescued === null ? [] : [{ kind: 'rescued', ...rescued }];
    if (options.lostLog) this.#found.push({ kind: 'lostLog', lastAt: this.#lastSavedAt, ...options.lostLog });
  }

  queries(): Queries {
    return this.#queries;
  }

  savedState(): SavedState {
    const log = lookAtLog(this.path);
    return {
      lastSavedAt: this.#lastSavedAt,
      commitIntervalMs: this.options.commitIntervalMs,
      trouble: this.#trouble,
      troubleSinceAt: this.#troubleSinceAt,
      logBytes: log.bytes,
      notes: [
        ...log.notes,
        ...(hasDamageSign(dirname(this.path)) ? [{ kind: 'damaged' as const }] : []),
        ...(this.#trouble === 'DISK_FULL' ? this.#toFree() : []),
        ...this.#found,
        ...(this.#upkeep?.notes() ?? []),
      ],
    };
  }

  commit(batch: Batch, atLast = false): void {
    this.#refuseWhereAway();
    if (!atLast) this.#refuseWhileSpent();
    let spent = false;
    try {
      this.#write(batch);
    } catch (error) {
      spent = asDiskError(error, this.path).code === 'DISK_FULL' && this.#reserve.spend();
      const failure = spent && !isIoError(error) ? this.#writeInto(batch) : this.#failed(error, batch);
      if (failure !== null) throw failure;
    }
    this.#trouble = null;
    this.#troubleSinceAt = null;
    if (spent) this.#note(recordError('DISK_FULL', `${this.path}: the disk is full`));
    this.#lastSavedAt = this.#queries.lastAt();
  }

  insertOlder(batch: OlderBatch): void {
    if (this.#closed || this.#append === null) throw recordError('DISK_READ_ONLY', `${this.path} takes no writes`);
    this.#refuseWhereAway();
    try {
      this.#older ??= { insert: openInserter(this.#db), seals: openSeals(this.#db) };
      const { insert, seals } = this.#older;
      this.#numbering.before();
      this.#db
        .transaction(() => {
          insert(batch);
          seals.seal(this.options.nowMs(), batch.days.length);
        })
        .immediate();
    } catch (error) {
      throw asDiskError(error, this.path);
    }
  }

  check(): string[] {
    return quickCheck(this.#db);
  }

  checkSeals(): BrokenDay[] {
    return checkEverySeal(this.#db);
  }

  upkeep(): BrokenDay[] {
    if (this.#closed || this.#append === null || this.options.demo === true) return [];
    this.#refuseWhereAway();
    this.#upkeep ??= openUpkeep(this.#db, dirname(this.path), this.#reserve, {
      keepRawDays: () => this.options.keepRawDays?.() ?? null,
      noticeMs: this.options.letGoNoticeMs ?? 0,
    });
    try {
      this.#numbering.before();
      return this.#upkeep.piece(this.options.nowMs());
    } catch (error) {
      const failure = signed(asDiskError(error, this.path), dirname(this.path));
      if (isIoError(error)) {
        this.#reopen();
        this.#note(failure);
      }
      throw failure;
    }
  }

  close(): void {
    if (this.#closed) return;
    this.#closed = true;
    let whole = false;
    try {
      if (this.#append !== null) emptyLog(this.#db);
      whole = this.#append !== null;
    } catch (error) {
      // The log keeps what it holds; the next start reads it.
      this.#note(asRecordError(error, this.path));
    } finally {
      this.#db.close();
      if (whole) noteClosed(this.path);
      this.#lock.release();
    }
  }

  #write(batch: Batch): void {
    if (this.#closed) throw recordError('INTERNAL', `${this.path} is closed; nothing was saved`);
    if (this.#append === null) this.#reopen();
    const append = this.#append;
    if (append === null) {
      throw recordError(this.#trouble ?? 'DISK_READ_ONLY', `${this.path} takes no writes; nothing was saved`);
    }
    const survivor = this.#uncertain[0];
    const rest = survivor === undefined ? batch : withoutSurvivors(batch, survivor);
    this.#numbering.before();
    this.#db
      .transaction(() => {
        append(rest);
        this.#numbering.within();
      })
      .immediate();
    this.#numbering.after();
    this.#uncertain = [];
  }

  #refuseWhereAway(): void {
    if (this.#append === null) return;
    try {
      this.#refuseWhereGone();
    } catch (error) {
      this.#note(asRecordError(error, this.path));
      throw error;
    }
  }

  /** Once the reserve is spent, its room is for a clean stop; saving goes on when there is enough for both. */
  #refuseWhileSpent(): void {
    if (!this.#reserve.isSpent()) return;
    const { freeBytes } = spaceOf(dirname(this.path));
    if (freeBytes >= this.#reserve.neededBytes) {
      this.#reserve.fill(freeBytes);
      return;
    }
    const failure = recordError('DISK_FULL', `${this.path}: the disk is full; the reserve is spent`);
    this.#note(failure);
    throw failure;
  }

  #toFree(): RecordNote[] {
    const { freeBytes } = spaceOf(dirname(this.path));
    return [{ kind: 'toFree', bytes: Math.max(0, this.#reserve.neededBytes - freeBytes) }];
  }

  /** With the room of the reserve: the batch, the hour still open as a whole block, and an empty log. */
  #writeInto(batch: Batch): WattkeepError | null {
    try {
      this.#write(batch);
    } catch (error) {
      return this.#failed(error, batch);
    }
    try {
      this.#db.transaction(prepareCloseHours(this.#db)).immediate();
      emptyLog(this.#db);
    } catch (error) {
      // The batch is saved; what is open stays so until there is room.
      this.#note(asDiskError(error, this.path));
    }
    return null;
  }

  #isRecorded(batch: Batch): boolean {
    const last = batch.readings.at(-1);
    return last !== undefined && this.#queries.holds(last);
  }

  #note(failure: WattkeepError): void {
    const trouble = troubleOf(failure);
    if (trouble === null) return;
    this.#troubleSinceAt ??= this.options.nowMs();
    this.#trouble = trouble;
  }

  /** What to throw; null where the batch turns out to be recorded all the same. */
  #failed(error: unknown, batch: Batch): WattkeepError | null {
    const failure = signed(asDiskError(error, this.path), dirname(this.path));
    if (isIoError(error) && !this.#closed) {
      this.#uncertain.push(batch);
      this.#reopen();
      if (this.#append !== null && this.#uncertain[0] === batch) {
        this.#uncertain = [];
        return null;
      }
    }
    this.#note(failure);
    return failure;
  }

  /** Opens and checks again for writing; where that fails for reading, so that questions are still answered. */
  #reopen(): void {
    this.#append = null;
    this.#upkeep = null;
    this.#older = null;
    this.#db.close();
    try {
      this.#db = connectWriter(this.path);
      emptyLog(this.#db);
      this.#append = openAppender(this.#db);
      this.#numbering = openNumbering(this.#db);
      this.#refuseWhereGone = watchFile(this.path);
    } catch (error) {
      this.#note(asRecordError(error, this.path));
      this.#db.close();
      this.#db = connectReader(this.path).db;
    }
    this.#queries = prepareQueries(this.#db);
    // Each holds the one before it: the last that is there tells all.
    if (this.#append !== null) this.#uncertain = this.#uncertain.filter(one => this.#isRecorded(one)).slice(-1);
  }
}
