/** Words of the Ledger: what was gathered, how much of it was recorded. */

export const gathered = (energy: string, since: string): string => `${energy} from the sun since ${since}.`;
export const NOTHING_GATHERED = 'Nothing gathered yet.';
export const NOTHING_GATHERED_SURE = 'A day appears here as soon as something of it is recorded.';
export const LEDGER_LOADING = 'Reading the record.';
export const ledgerFailed = 'The record could not be read.';

export const wholeDays = (count: string): string =>
  count === '1' ? 'The one whole day brought ' : `The ${count} whole days averaged `;
export const noWholeDay = 'No day is wholly recorded yet.';
export const partlyDays = (count: number, text: string): string =>
  count === 0 ? '' : count === 1 ? ' One day is only partly recorded.' : ` ${text} days are only partly recorded.`;
export const missingDays = (count: number, text: string): string =>
  count === 0 ? '' : count === 1 ? ' One day is not recorded at all.' : ` ${text} days are not recorded at all.`;
export const notSun = (energy: string): string =>
  ` ${energy} more came in that is not known to be sun; it is not counted.`;
export const today = 'today';

export const LEDGER_DRAWING = 'From the sun, day by day';
export const readDay = (date: string, energy: string, coverage: string | null): string =>
  coverage === null ? `${date}: ${energy}` : `${date}: ${energy}, ${coverage} of the day recorded`;
export const readToday = (energy: string): string => `today so far: ${energy}`;
export const readMissing = (date: string): string => `${date}: not recorded`;
export const ledgerSummary = (from: string, to: string, least: string, most: string): string =>
  `From ${from} to ${to}: whole days brought between ${least} and ${most}.`;

export const MONTHS = 'Months';
export const MONTH_COLUMNS = ['month', 'from the sun', 'going out', 'whole days', 'recorded'] as const;
export const DAYS = 'Every day in numbers';
export const DAY_COLUMNS = ['day', 'from the sun', 'coming in', 'going out', 'recorded', 'level'] as const;
export const levelRange = (low: string, high: string): string => `${low} to ${high}`;
export const daysOf = (whole: string, all: string): string => `${whole} of ${all}`;
export const CSV = 'Save the days as CSV';
