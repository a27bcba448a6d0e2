/** What may be asked of the process that reads the record. Instants UTC epoch ms. */

import type { RecordingWanted } from '../../recording-pieces.ts';

export interface RecordingAsked extends RecordingWanted {
  readonly what: 'recording';
}

export type Asked = RecordingAsked;

export interface ReadOrder {
  /** Folder of the record. */
  readonly dir: string;
  readonly demo: boolean;
  readonly nowMs: number;
  readonly asked: Asked;
}
