/** What may be asked of the process that reads the record. Instants UTC epoch ms. */

import type { SeriesRequest } from '#messages';
import type { LedgerAsked } from '../../ledger-answer.ts';
import type { RecordingWanted } from '../../recording-pieces.ts';
import type { TrialsAsked } from '../../trials/pieces.ts';

export interface RecordingAsked extends RecordingWanted {
  readonly what: 'recording';
}

/** What Plan asks of the record; the answer is JSON of `PlanPast`. */
export interface PlanPastAsked {
  readonly what: 'planPast';
  readonly station: string;
  /** IANA zone of the civil week. */
  readonly zone: string;
}

/** The answer is JSON of a `SeriesAnswer`. */
export interface SeriesAsked {
  readonly what: 'series';
  readonly request: SeriesRequest;
}

/** The answer is JSON of a `LedgerAnswer`. */
export interface LedgerDaysAsked extends Pick<LedgerAsked, 'station' | 'zone' | 'from' | 'to'> {
  readonly what: 'ledger';
}

/** The answer is JSON of a `RecordingSize`. */
export interface RecordingSizeAsked extends Pick<RecordingWanted, 'station' | 'fromMs' | 'toMs' | 'zone'> {
  readonly what: 'recordingSize';
}

/** The answer is CSV of the same days. */
export interface DaysCsvAsked extends Omit<LedgerDaysAsked, 'what'> {
  readonly what: 'daysCsv';
}

export type Asked =
  | DaysCsvAsked
  | RecordingAsked
  | RecordingSizeAsked
  | SeriesAsked
  | LedgerDaysAsked
  | PlanPastAsked
  | TrialsAsked;

export interface ReadOrder {
  /** Folder of the record. */
  readonly dir: string;
  readonly demo: boolean;
  readonly nowMs: number;
  readonly asked: Asked;
}
