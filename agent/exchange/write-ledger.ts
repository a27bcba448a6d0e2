/**
 * The day ledger as CSV: one civil day a row, units in the header. Coverage is the share recorded of the part of the
 * day that has passed, so that an honest sum can be told from a partial one. Notes of the owner are text cells that no
 * spreadsheet takes for a formula; a day that holds a note and no reading has a row too. Pure.
 */
import { type Counted, type DayTotals, holdsReadings, type LedgerDay } from '#messages';
import { CRLF, numberCell, textCell } from './cells.ts';
import { COUNTED_NAMES, countedCells } from './write-counted.ts';
import { DAY_FIGURE_NAMES, dayFigureCells } from './write-figures.ts';

const MILLIJ_PER_WH = 3_600_000;
const MS_PER_MIN = 60_000;
const round = (value: number, perUnit: number): number => Math.round(value * perUnit) / perUnit;
const wh = (milliJ: number): string => numberCell(round(milliJ / MILLIJ_PER_WH, 10));
/** Of a day without any reading nothing is known: a nought would be taken for a day without sun. */
const known = (of: (day: DayTotals) => string) => (day: DayTotals) => (holdsReadings(day) ? of(day) : '');

const COLUMNS: readonly [name: string, cell: (day: DayTotals, nowMs: number) => string][] = [
  ['date', day => textCell(day.date)],
  ['zone', day => textCell(day.zone)],
  ['solarWh', known(day => wh(day.solarMilliJ))],
  ['inputWh', known(day => wh(day.inputMilliJ))],
  ['outputWh', known(day => wh(day.outputMilliJ))],
  ['coveragePct', (day, nowMs) => numberCell(round(coveragePct(day, nowMs), 10))],
  ['coveredMin', day => numberCell(round(day.coveredMs / MS_PER_MIN, 10))],
  ['gapMin', day => numberCell(round(day.gapMs / MS_PER_MIN, 10))],
  ['solarPeakW', known(day => numberCell(round(day.solarPeakW, 10)))],
  ['stateOfChargeMinPct', day => numberCell(day.stateOfChargeMinPct)],
  ['stateOfChargeMaxPct', day => numberCell(day.stateOfChargeMaxPct)],
];

/** Percent of the day up to `nowMs` (UTC epoch ms) that was recorded; 0 to 100. */
export function coveragePct(day: DayTotals, nowMs: number): number {
  const passedMs = Math.min(day.endMs, nowMs) - day.startMs;
  return passedMs <= 0 ? 0 : Math.min(100, (100 * day.coveredMs) / passedMs);
}

/**
 * @param notes the owner's words by civil date
 * @param figures what was worked out of each day; null: its totals alone are told
 * @param counted what the station's own counters say of a day; null: columns of theirs are left out
 */
export function ledgerCsv(
  days: readonly DayTotals[],
  nowMs: number,
  notes: ReadonlyMap<string, string> = new Map(),
  figures: readonly LedgerDay[] | null = null,
  counted: ((day: DayTotals) => Counted | null) | null = null,
): string {
  const names = [
    ...COLUMNS.map(([name]) => name),
    ...(figures === null ? [] : DAY_FIGURE_NAMES),
    ...(counted === null ? [] : COUNTED_NAMES),
  ];
  const header = [...names, 'notes'].join(',');
  const figuresOf = (day: DayTotals): string[] => {
    if (figures === null) return [];
    const found = figures.find(({ date, zone }) => date === day.date && zone === day.zone);
    return found === undefined ? DAY_FIGURE_NAMES.map(() => '') : dayFigureCells(found);
  };
  const recorded = new Set(days.map(day => day.date));
  const noted = (date: string) => textCell(notes.get(date) ?? '');
  const rows = [
    ...days.map(day => ({
      date: day.date,
      // A date is there twice where the zone changed on it: its notes stand once.
      cells: [
        ...COLUMNS.map(([, cell]) => cell(day, nowMs)),
        ...figuresOf(day),
        ...(counted === null ? [] : countedCells(counted(day))),
        day === days.findLast(d => d.date === day.date) ? noted(day.date) : '',
      ],
    })),
    ...[...notes.keys()]
      .filter(date => !recorded.has(date))
      .map(date => ({ date, cells: [textCell(date), ...names.slice(1).map(() => ''), noted(date)] })),
  ].sort((a, b) => (a.date < b.date ? -1 : a.date > b.date ? 1 : 0));
  return [header, ...rows.map(({ cells }) => cells.join(',')), ''].join(CRLF);
}
