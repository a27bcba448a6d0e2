/**
 * An answer in pieces, made one at a time when it is wanted. null stands for a while of work that gave nothing to send:
 * others get their turn then. No piece holds a read transaction once it is made.
 */
import { encodeSeries } from '../../../server/encode.ts';
import type { OpenedRecord } from '../../../store/open.ts';
import { ledgerAnswer } from '../../ledger-answer.ts';
import { notedLedger } from '../../noted-ledger.ts';
import { planPastPieces } from '../../plan-past.ts';
import { recordingPieces } from '../../recording-pieces.ts';
import { recordingSize } from '../../recording-size.ts';
import { trialsPieces } from '../../trials/pieces.ts';
import type { ReadOrder } from './order.ts';

export type Pieces = Iterator<Uint8Array | null> | AsyncIterator<Uint8Array | null>;

const inOne = (answer: object): Pieces => [Buffer.from(JSON.stringify(answer))].values();

/** @throws WattkeepError STATION_UNKNOWN, RECORD_DAMAGED, … at any piece */
export function piecesOf(
  record: OpenedRecord,
  { asked, demo, nowMs }: Pick<ReadOrder, 'asked' | 'demo' | 'nowMs'>,
): Pieces {
  switch (asked.what) {
    case 'recording':
      return recordingPieces(record, asked, demo)[Symbol.asyncIterator]();
    case 'recordingSize':
      return inOne(recordingSize(record, asked));
    case 'series':
      return inOne(encodeSeries(asked.request.station, record.series(asked.request)));
    case 'ledger':
      return inOne(ledgerAnswer(record, { ...asked, nowMs }));
    case 'daysCsv': {
      const { days } = ledgerAnswer(record, { ...asked, nowMs });
      const { station, from, to } = asked;
      return [Buffer.from(notedLedger(record, station, from, to, nowMs, days))].values();
    }
    case 'planPast':
      return planPastPieces(record, asked, nowMs);
    case 'trials':
      return trialsPieces(record, asked, nowMs);
  }
}
