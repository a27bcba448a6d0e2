/** What may be asked of the process that reads the record. Instants UTC epoch ms. */

export interface RecordingAsked {
  readonly what: 'recording';
  readonly format: 'csv' | 'parquet';
  readonly station: string;
  /** From, and up to but without. */
  readonly fromMs: number;
  readonly toMs: number;
  /** IANA zone whose offset the times carry. */
  readonly zone: string;
  /** Version of the program, told in the file. */
  readonly version: string;
}

export type Asked = RecordingAsked;

export interface ReadOrder {
  /** Folder of the record. */
  readonly dir: string;
  readonly demo: boolean;
  readonly nowMs: number;
  readonly asked: Asked;
}
