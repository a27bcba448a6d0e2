/** What may be asked of the process that reads the record. Instants UTC epoch ms. */

import type { RecordingWanted } from '../../recording-pieces.ts';

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

export type Asked = RecordingAsked | PlanPastAsked;

export interface ReadOrder {
  /** Folder of the record. */
  readonly dir: string;
  readonly demo: boolean;
  readonly nowMs: number;
  readonly asked: Asked;
}
