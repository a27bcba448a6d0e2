/** What the Ledger works out of a day or a period, as cells of CSV; empty where it is not known. Energies Wh, pure. */
import type { LedgerDay, WhereItWent } from '#messages';
import { CRLF, numberCell, textCell } from './cells.ts';

const round = (value: number | null, perUnit: number): number | null =>
  value === null ? null : Math.round(value * perUnit) / perUnit;

/** As far as a period has them too. */
export interface Figures {
  clearSkyWh: number | null;
  whereItWent: WhereItWent | null;
  performanceRatio: number | null;
  worth: number | null;
}

const CAUSES = [
  'cloudWh',
  'shadeWh',
  'fullWh',
  'portLimitWh',
  'notOutWh',
  'notRecordedWh',
  'aheadWh',
  'otherWh',
] as const satisfies readonly (keyof WhereItWent)[];

export const FIGURE_NAMES: readonly string[] = ['clearSkyWh', ...CAUSES, 'performanceRatio', 'worth'];

export const figureCells = ({ clearSkyWh, whereItWent, performanceRatio, worth }: Figures): string[] => [
  numberCell(round(clearSkyWh, 10)),
  ...CAUSES.map(cause => numberCell(round(whereItWent?.[cause] ?? null, 10))),
  numberCell(round(performanceRatio, 1000)),
  numberCell(round(worth, 100)),
];

export const DAY_FIGURE_NAMES: readonly string[] = [
  ...FIGURE_NAMES,
  'finalYieldKwhPerKw',
  'referenceYieldKwhPerKw',
  'referenceFrom',
  'fullMin',
  'portLimitMin',
];

export const dayFigureCells = (day: LedgerDay): string[] => [
  ...figureCells(day),
  numberCell(round(day.finalYieldH, 1000)),
  numberCell(round(day.referenceYieldH, 1000)),
  textCell(day.referenceFrom ?? ''),
  numberCell(day.fullMin),
  numberCell(day.portLimitMin),
];

export interface PeriodFigures extends Figures {
  from: string;
  to: string;
  days: number;
  recordedDays: number;
  coveragePct: number;
  solarWh: number;
  inputWh: number;
  outputWh: number;
}

/** Sums of periods, a row each. */
export function periodsCsv(periods: readonly PeriodFigures[]): string {
  const names = ['from', 'to', 'days', 'recordedDays', 'coveragePct', 'solarWh', 'inputWh', 'outputWh'];
  const rows = periods.map(period => [
    textCell(period.from),
    textCell(period.to),
    numberCell(period.days),
    numberCell(period.recordedDays),
    ...[period.coveragePct, period.solarWh, period.inputWh, period.outputWh].map(value => numberCell(round(value, 10))),
    ...figureCells(period),
  ]);
  return [[...names, ...FIGURE_NAMES].join(','), ...rows.map(cells => cells.join(',')), ''].join(CRLF);
}
