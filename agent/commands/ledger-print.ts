/** The Ledger on a terminal and as JSON. Energies Wh; what is not known is a dash, or null. */
import type { LedgerAnswer, LedgerDay } from '#messages';
import { counterLine } from './ledger-counted-words.ts';
import type { DayAnswer } from './ledger-day.ts';
import { type Period, type PeriodSum, periodSums, sumOf } from './ledger-periods.ts';

export interface Printed {
  readonly answer: LedgerAnswer;
  readonly days: readonly DayAnswer[];
  /** Sums of these periods in place of days. */
  readonly by: Period | null;
  readonly nowMs: number;
}

const totalOf = ({ answer, days, nowMs }: Printed): PeriodSum => {
  const dates = [...answer.days, ...answer.missing].map(({ date }) => date).sort();
  return sumOf({ from: dates[0] ?? '', to: dates.at(-1) ?? '' }, days, answer.missing, nowMs);
};

/** Keys of days are those of the HTTP API, but for the yields, whose names say their unit. */
export function ledgerJson(printed: Printed): string {
  const { answer, days, by, nowMs } = printed;
  const { from: _, to: __, ...totals } = totalOf(printed);
  return `${JSON.stringify({
    ...(by === null
      ? { days: days.map(dayJson), missing: answer.missing }
      : { periods: periodSums(by, days, answer.missing, nowMs) }),
    totals: {
      ...totals,
      solarWh: Math.round(totals.solarWh),
      inputWh: Math.round(totals.inputWh),
      outputWh: Math.round(totals.outputWh),
    },
    money: answer.money,
    counters: answer.counters ?? [],
    bridges: answer.bridges,
  })}\n`;
}

function dayJson({ day, heldBackPct }: DayAnswer) {
  const { finalYieldH, referenceYieldH, openReferenceYieldH, startAt, endAt, ...rest } = day;
  return { ...rest, finalYieldKwhPerKw: finalYieldH, referenceYieldKwhPerKw: referenceYieldH, heldBackPct };
}

type Row = Pick<
  PeriodSum,
  'solarWh' | 'clearSkyWh' | 'whereItWent' | 'outputWh' | 'coveragePct' | 'performanceRatio' | 'worth'
>;
type Cell = string | number | null;

const COLUMNS: readonly [head: string, cell: (row: Row) => Cell][] = [
  ['sun Wh', row => row.solarWh],
  ['clear Wh', row => row.clearSkyWh],
  ['cloud Wh', row => row.whereItWent?.cloudWh ?? null],
  ['shade Wh', row => row.whereItWent?.shadeWh ?? null],
  ['held Wh', row => (row.whereItWent === null ? null : row.whereItWent.fullWh + row.whereItWent.portLimitWh)],
  ['idle Wh', row => (row.whereItWent === null ? null : row.whereItWent.notOutWh + row.whereItWent.notRecordedWh)],
  ['other Wh', row => (row.whereItWent === null ? null : row.whereItWent.otherWh + row.whereItWent.aheadWh)],
  ['ratio', row => row.performanceRatio?.toFixed(2) ?? null],
  ['out Wh', row => row.outputWh],
  ['recorded %', row => row.coveragePct],
];
const FIRST_WIDE = 12;
const WIDE = 11;

/** A row a day or a period, and their sum. */
export function ledgerTable(printed: Printed): string {
  const { answer, days, by, nowMs } = printed;
  const currency = answer.money?.currency;
  const columns: typeof COLUMNS =
    currency === undefined ? COLUMNS : [...COLUMNS, [currency, row => row.worth?.toFixed(2) ?? null]];
  const line = (first: string, cells: readonly Cell[]) =>
    `${first.padEnd(FIRST_WIDE)}${cells.map(cell => text(cell).padStart(WIDE)).join('')}`;
  const row = (first: string, of: Row) =>
    line(
      first,
      columns.map(([, cell]) => cell(of)),
    );
  const sums = by === null ? [] : periodSums(by, days, answer.missing, nowMs);
  return [
    line(
      by === null ? 'date' : 'from',
      columns.map(([head]) => head),
    ),
    ...(by === null ? answer.days.map(day => row(day.date, rowOf(day))) : sums.map(sum => row(sum.from, sum))),
    row('sum', totalOf(printed)),
    ...(answer.counters ?? []).map(counterLine),
    '',
  ].join('\n');
}

const text = (cell: Cell): string => (cell === null ? '–' : typeof cell === 'number' ? String(Math.round(cell)) : cell);

const rowOf = (day: LedgerDay): Row => day;
