/** Rows of a recording taken into a record as the verb `import` takes them. */
import type { KeptReading } from '#messages';
import { createRowsTaker, type RowsAhead, type RowsTaken } from '../../agent/commands/import-rows.ts';
import type { StationFacts } from '../../agent/derive/facts.ts';
import type { OpenedRecord } from '../../agent/store/open.ts';

const FAR = 8e15;

/** @param rows in order of time */
export function takeRows(
  record: OpenedRecord,
  rows: readonly KeptReading[],
  facts: StationFacts,
  how: Partial<Pick<RowsAhead, 'write' | 'atOnce' | 'nowMs'>> = {},
): RowsTaken {
  const [first, last] = [rows[0], rows.at(-1)];
  if (first === undefined || last === undefined)
    return { older: 0, newer: 0, recorded: 0, ahead: 0, fromMs: null, toMs: null, days: [] };
  const bounds = { fromMs: first.at, toMs: last.at };
  const taker = createRowsTaker(record, { station: 'shed', facts, ...bounds, nowMs: FAR, write: true, ...how });
  for (const row of rows) taker.add(row);
  return taker.end();
}
