/** What a station's own counters say of a day, as cells of CSV: a second ledger in columns of its own. Wh, pure. */
import type { Counted } from '#messages';
import { numberCell } from './cells.ts';

const COLUMNS: readonly [name: string, of: (counted: Counted) => number | null][] = [
  ['countedSolarWh', counted => counted.solarWh],
  ['countedInputWh', counted => counted.inputWh],
  ['countedChargerWh', counted => counted.chargerWh ?? null],
  ['countedOutputWh', counted => counted.outputWh],
  ['countedMeterWh', counted => counted.meterWh ?? null],
  // Of the first, what was counted while nothing was recorded.
  ['bridgedSolarWh', counted => (counted.solarWh === null ? null : counted.bridgedSolarWh)],
];

export const COUNTED_NAMES: readonly string[] = COLUMNS.map(([name]) => name);

/** @param counted null: no counter was told that day */
export const countedCells = (counted: Counted | null): string[] =>
  COLUMNS.map(([, of]) => (counted === null ? '' : numberCell(of(counted))));
