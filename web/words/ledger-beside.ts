/** Words of two stations, or two periods of one, beside each other. */

export const LOADING = 'Reading both.';
export const FAILED = 'They could not be read.';
export const NO_STATION = 'There is no station yet.';
export const TO_LEDGER = 'All days';

export const CHOOSE = 'What stands beside what';
export const ONE = 'One';
export const OTHER = 'The other';
export const STATION = 'Station';
export const FROM = 'From';
export const TO = 'To';
export const SHOW = 'Show them beside each other';
export const WRONG_ORDER = 'It would end before it begins.';
export const DATE_NEEDED = 'This needs a day.';
export const tooLong = (days: string): string => `At most ${days} days.`;

export const sideName = (station: string, period: string): string => `${station}, ${period}`;
export const period = (from: string, to: string): string => (from === to ? from : `${from} to ${to}`);

export const NOT_ONE_DAY = 'They have no whole day in common.';
export const more = (one: string, share: string, perKw: boolean, other: string): string =>
  `${one}: ${share} more${perKw ? ' a kW of panels' : ''} than ${other}.`;
export const less = (one: string, share: string, perKw: boolean, other: string): string =>
  `${one}: ${share} less${perKw ? ' a kW of panels' : ''} than ${other}.`;
export const same = (one: string, perKw: boolean, other: string): string =>
  `${one} and ${other} gathered alike${perKw ? ', by a kW of panels' : ''}.`;
export const onlyOne = (who: string, none: string): string => `${who} gathered something, ${none} nothing.`;
export const nothing = (one: string, other: string): string => `Neither ${one} nor ${other} gathered anything.`;
export const commonDays = (days: string, one: string, other: string): string =>
  days === '1'
    ? `On the one whole day in common: ${one} against ${other}.`
    : `Over the ${days} whole days in common, a day: ${one} against ${other}.`;
export const leftOut = (count: number, text: string): string =>
  count === 0
    ? ''
    : count === 1
      ? ' One day is left out, since one of them did not record it whole.'
      : ` ${text} days are left out, since one of them did not record them whole.`;
export const coverage = (one: string, other: string): string => ` Recorded of all its days: ${one}, and ${other}.`;
export const NO_RATING = ' What panels there were is not told of both, so their size is not taken out.';
export const byDate = ' Days are held against each other by date.';
export const byNumber = ' Days are held against each other in their order: the first against the first.';

export const DRAWING = 'Both, day by day';
export const scaleYield = 'kWh/kW';
export const scaleEnergy = 'Wh';
export const keyFilled = (name: string): string => `filled: ${name}`;
export const keyOutlined = (name: string): string => `outlined: ${name}`;
export const KEY_DASHED = 'dashed: not whole, or not in common; not counted';
export const readPair = (day: string, one: string, other: string, counted: boolean): string =>
  `${day}: ${one}, ${other}${counted ? '' : '; not counted'}`;
export const pairDates = (one: string, other: string): string => (one === other ? one : `${one} and ${other}`);
export const summary = (days: string, common: string): string =>
  `${days} days, of which ${common} are whole with both. Arrow keys read them.`;

export const TABLE = 'In figures, whole days in common only';
export const DIFFERENCE = 'difference';
export const ROWS = {
  days: 'whole days in common',
  harvest: 'from the sun',
  yieldH: 'final yield, kWh/kW',
  yieldADay: 'final yield a day, kWh/kW',
  ratio: 'performance ratio',
  coverage: 'recorded of all its days',
  worth: 'worth',
} as const;
