/** Words of the Ledger: what was gathered, how much of it was recorded, the drawing and its periods. */

export const gathered = (energy: string, since: string): string => `${energy} from the sun since ${since}.`;
export const gatheredIn = (energy: string, period: string): string => `${energy} from the sun ${period}.`;
export const inMonth = (month: string): string => `in ${month}`;
export const fromTo = (from: string, to: string): string => `from ${from} to ${to}`;
export const NOTHING_GATHERED = 'Nothing gathered yet.';
export const NOTHING_GATHERED_SURE = 'A day appears here as soon as something of it is recorded.';
export const nothingIn = (period: string): string => `Nothing is recorded ${period}.`;
export const NOTHING_IN_SURE = 'Choose another stretch.';
export const LEDGER_LOADING = 'Reading the record.';
export const ledgerFailed = 'The record could not be read.';

export const wholeDays = (count: string): string =>
  count === '1' ? 'The one whole day brought ' : `The ${count} whole days averaged `;
export const clearDay = (energy: string): string => `; a clear day could give ${energy}.`;
export const noWholeDay = 'No day is wholly recorded yet.';
export const partlyDays = (count: number, text: string): string =>
  count === 0 ? '' : count === 1 ? ' One day is only partly recorded.' : ` ${text} days are only partly recorded.`;
export const missingDays = (count: number, text: string): string =>
  count === 0 ? '' : count === 1 ? ' One day is not recorded at all.' : ` ${text} days are not recorded at all.`;
export const notSun = (energy: string): string =>
  ` ${energy} more came in that is not known to be sun; it is not counted.`;
export const today = 'today';

export const PERIOD = 'Stretch of days';
export const PERIOD_NAMES = { month: 'Month', season: 'Season', year: 'Year', all: 'All' } as const;
export const EVERYTHING = 'Everything recorded';
export const EARLIER = 'Earlier';
export const LATER = 'Later';
export const YEAR_EARLIER = 'A year earlier';
export const monthsTo = (from: string, to: string): string => `${from} to ${to}`;

export const LEDGER_DRAWING = 'From the sun, day by day';
export const CLEAR_SKY_DAY = 'clear-sky day';
export const darkest = (watts: string): string => `darkest: ${watts}`;
export const IN_WEEKS =
  'A column is a week: the mean of its whole days, and beneath it their mean hour by hour. Days would be too thin here.';
export const IN_MONTHS =
  'A column is a month: the mean of its whole days, and beneath it their mean hour by hour. Days would be too thin here.';
export const readDay = (date: string, energy: string, coverage: string | null): string =>
  coverage === null ? `${date}: ${energy}` : `${date}: ${energy}, ${coverage} of the day recorded`;
export const readToday = (energy: string): string => `today so far: ${energy}`;
export const readMissing = (date: string): string => `${date}: not recorded`;
export const readWeek = (date: string, energy: string): string => `Week of ${date}: ${energy} a day`;
export const readMonth = (month: string, energy: string): string => `${month}: ${energy} a day`;
export const readNone = (stretch: string): string => `${stretch}: not recorded`;
export const weekOf = (date: string): string => `Week of ${date}`;
export const ofClear = (energy: string): string => `; a clear sky gives ${energy}`;
export const openDay = (date: string): string => `Open ${date}`;
export const lookAt = (month: string): string => `Look at ${month}`;
export const HOW_TO_OPEN = 'Point at a day or use the arrow keys; a click or Enter opens it.';
export const HOW_TO_TAP = 'Tap a day to read it.';
export const ledgerSummary = (from: string, to: string, least: string, most: string): string =>
  `From ${from} to ${to}: whole days brought between ${least} and ${most}.`;

export const shadeAt = (time: string, energy: string): string =>
  `a band with less sun at about ${time}: shade, some ${energy} a day`;
export const shadeBriefly = (time: string): string => `shade at about ${time}`;
export const shadeSomewhere = (energy: string): string => `shade takes some ${energy} of these days`;

export const told = (what: string, levels: string): string => `${what} (${levels})`;
export const FACTS: Readonly<Record<string, string>> = {
  tariff: 'tariff changed',
  solarPort: 'solar port changed',
  ratedWh: 'battery changed',
  place: 'place changed',
  zone: 'time zone changed',
  chargeCeilingPct: 'charge ceiling changed',
  firmware: 'firmware changed',
};
export const panelsChanged = (watts: string): string => `panels changed: ${watts}`;
export const PANELS_CHANGED = 'panels changed';
export const firmware = (version: string): string => `firmware ${version}`;
export const tariffNow = (price: string): string => `tariff changed: ${price} a kWh`;
export const on = (date: string, what: string): string => `${date}: ${what}`;
export const sinceDate = (date: string): string => `since ${date}`;
export const WHAT_CHANGED = 'What changed, and what explains gaps';

export const SUMS = 'Months and the whole';
export const SUM_COLUMNS = [
  'month',
  'from the sun',
  'recorded',
  'whole days',
  'final yield, kWh/kW',
  'reference yield, kWh/kW',
  'performance ratio',
] as const;
export const TOGETHER = 'together';
export const EXTREMES = 'Best and worst';
export const bestDay = 'Best whole day: ';
export const worstDay = 'Worst: ';
export const DAYS = 'Every day in numbers';
export const DAY_COLUMNS = ['day', 'from the sun', 'clear sky', 'coming in', 'going out', 'recorded', 'level'] as const;
export const levelRange = (low: string, high: string): string => `${low} to ${high}`;
export const daysOf = (whole: string, all: string): string => `${whole} of ${all}`;
export const BESIDE = 'Beside another stretch or station';
export const CSV = 'Save the days as CSV';
export const WHY = 'Why?';
