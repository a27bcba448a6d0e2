/** The ledger as CSV with what the owner noted of its days and what the station itself counted on them; one way for the agent and for the verb. */
import type { LedgerDay, RecordQueries } from '#messages';
import { ledgerCsv } from '../exchange/write-ledger.ts';
import { countedOver } from './ledger-counted.ts';
import { notesByDate } from './run/telling/notes.ts';

/**
 * @param from civil dates, both included
 * @param nowMs UTC epoch ms: a day that still runs is measured up to here
 * @param figures what was worked out of each day; null: its totals alone are told
 */
export function notedLedger(
  record: Pick<RecordQueries, 'days' | 'notes' | 'counted' | 'bridges'>,
  station: string,
  from: string,
  to: string,
  nowMs: number,
  figures: readonly LedgerDay[] | null = null,
): string {
  const days = record.days(station, from, to);
  const zone = days.at(-1)?.zone ?? 'UTC';
  const [fromMs, toMs] = [days.at(0)?.startMs ?? 0, days.at(-1)?.endMs ?? 0];
  const counted = countedOver(record, station, { from, to, fromMs, toMs });
  return ledgerCsv(days, nowMs, notesByDate(record.notes(station, from, to), zone), figures, counted.ofDay);
}
