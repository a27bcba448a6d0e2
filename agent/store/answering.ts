/**
 * What both kinds of opened record share: every question, its failures told as WattkeepError (a damaged block, a disk
 * that is gone).
 */
import { dirname } from 'node:path';
import type { WattkeepError } from '#kit';
import type { MeansRequest, RecordQueries, SavedState, SeriesRequest } from '#messages';
import { asRecordError } from './failure.ts';
import { signed } from './keep/damage.ts';
import type { OpenOptions } from './opened.ts';
import type { Queries } from './query/index.ts';
import type { PastBefore } from './query/past.ts';

export abstract class AnsweringRecord implements RecordQueries {
  protected readonly options: OpenOptions;
  protected readonly path: string;

  constructor(path: string, options: OpenOptions) {
    this.path = path;
    this.options = options;
  }

  /** Of the connection that is open now. */
  abstract queries(): Queries;
  abstract savedState(): SavedState;

  #ask<T>(question: (queries: Queries) => T): T {
    try {
      return question(this.queries());
    } catch (error) {
      throw this.#failure(error);
    }
  }

  /** Damage that is met while reading is told on the page, and rescued by the next start. */
  #failure(error: unknown): WattkeepError {
    return signed(asRecordError(error, this.path), dirname(this.path));
  }

  stations = () => this.#ask(q => q.stations());
  latest = (station: string) => this.#ask(q => q.latest(station));
  series = (request: SeriesRequest) => this.#ask(q => q.series(request));
  means = (request: MeansRequest) => this.#ask(q => q.means(request));
  limits = (station: string, fromMs: number, minutes: number) => this.#ask(q => q.limits(station, fromMs, minutes));
  days = (station: string, from: string, to: string) => this.#ask(q => q.days(station, from, to));
  extent = (station: string) => this.#ask(q => q.extent(station));
  outages = (station: string, fromMs: number, toMs: number) => this.#ask(q => q.outages(station, fromMs, toMs));
  spans = (station: string, fromMs: number, toMs: number) => this.#ask(q => q.spans(station, fromMs, toMs));
  facts = (station: string) => this.#ask(q => q.facts(station));
  cursor = (station: string) => this.#ask(q => q.cursor(station));
  spots = (station: string) => this.#ask(q => q.spots(station));
  marks = (station: string, fromWalk: number) => this.#ask(q => q.marks(station, fromWalk));
  instants = (station: string, fromMs: number, toMs: number) => this.#ask(q => q.instants(station, fromMs, toMs));
  lastMark = (station: string) => this.#ask(q => q.lastMark(station));
  notes = (station: string, from: string, to: string) => this.#ask(q => q.notes(station, from, to));
  counted = (station: string, from: string, to: string) => this.#ask(q => q.counted(station, from, to));
  bridges = (station: string, fromMs: number, toMs: number) => this.#ask(q => q.bridges(station, fromMs, toMs));
  counterEnds = (station: string) => this.#ask(q => q.counterEnds(station));
  lastNote = (station: string) => this.#ask(q => q.lastNote(station));
  evidence = (station: string) => this.#ask(q => q.evidence(station));
  trials = (station: string) => this.#ask(q => q.trials(station));
  trial = (id: string) => this.#ask(q => q.trial(id));
  liveTrials = () => this.#ask(q => q.liveTrials());
  learned = (station: string) => this.#ask(q => q.learned(station));
  rowCount = (station: string, fromMs: number, toMs: number) => this.#ask(q => q.rowCount(station, fromMs, toMs));
  pastMark = (station: string, before: PastBefore) => this.#ask(q => q.pastMark(station, before));

  *told(station: string, fromMs: number, toMs: number) {
    try {
      yield* this.queries().told(station, fromMs, toMs);
    } catch (error) {
      throw this.#failure(error);
    }
  }

  *readings(station: string, fromMs: number, toMs: number) {
    try {
      yield* this.queries().readings(station, fromMs, toMs);
    } catch (error) {
      throw this.#failure(error);
    }
  }
}
