/** Words of results side by side, of what the money buys, and of the years. */
import type { WireDifference, YearsAnswer } from '#messages';

type Because = WireDifference['because'][number];

export const LOADING = 'Holding them against each other.';
export const CHOOSE = 'Choose two or more.';
export const CHOOSE_SURE = 'Results of one kind, of this station or of others.';
export const NONE_TO_CHOOSE = 'There are no two finished trials yet.';
export const SHOW = 'Set them side by side';
export const DIFFERS = (one: string, amount: string, give: string, other: string, more: boolean): string =>
  `${one}: ${amount} ${more ? 'more' : 'less'} than ${other}, ${give}.`;
export const NO_DIFFERENCE = 'No difference found.';
export const noDifferenceSure = (figure: string): string => `${figure}: they differ by less than their uncertainty.`;
export const NOT_COMPARABLE = 'They cannot be held against each other.';
export const UNLIKE = 'They were measured under unlike conditions, or are of another kind.';
export const BECAUSE: Record<Because, string> = {
  load: 'Their loads were unlike.',
  temperature: 'Their temperatures were unlike.',
  range: 'They ran over unlike parts of the charge.',
  ownWattsOnly:
    'By their own watts only: two stations differ then only beyond what these may be off. One meter for both would tell more.',
  oneMeter: 'Only one of them had a meter.',
  otherMeter: 'Two meters were used; one for both would tell more.',
};
export const VERDICTS: Record<WireDifference['verdict'], string> = {
  differs: 'differ by more than their uncertainty',
  noDifference: 'no difference found',
  notComparable: 'not comparable',
};
export const DIFFERENCES = 'Do they differ by more than their uncertainty?';
export const lessThan = (b: string, a: string): string => `${b} less ${a}`;
export const SIDE_BY_SIDE = 'Figures';
export const ONE_AXIS = 'One axis for all.';

export const WORTH = 'What the money buys';
export const WORTH_ROWS = {
  perDeliveredWh: 'for each Wh it delivers',
  perHarvestedWhAYear: 'for each Wh the panels bring in a year',
  harvestWhAYear: 'the panels bring in a year',
  payBackYears: 'pays itself back in',
} as const;
export const years = (number: string): string => `${number} years`;
export const NO_PRICES = 'Tell Setup what station and panels cost, and the tariff.';

export const YEARS_LOADING = 'Reading the years.';
export const YEARS_FAILED = 'The years could not be read.';
export const YEARS_NONE = 'Not measured yet.';
export const YEARS_NONE_SURE = 'Each trial of usable energy is a point here; three that are alike make a line.';
export const ONE_POINT = (energy: string, give: string): string => `It delivers ${energy}, ${give}.`;
export const OF_FIRST = (percent: string, give: string): string =>
  `It delivers ${percent} of what it did at first, ${give}.`;
export const TREND = (percent: string, give: string): string =>
  `By a straight line it changes by ${percent} a year, ${give}.`;
export const NO_TREND = 'Three or more trials that are alike make a line; there are fewer.';
export const CYCLES = (cycles: string, give: string): string => `It has gone through ${cycles} full cycles, ${give}.`;
export const PROMISED_OF = {
  rated: (percent: string): string => `${percent} of its label`,
  first: (percent: string): string => `${percent} of what it delivered at first`,
} as const;
export const WARRANTY: Record<NonNullable<YearsAnswer['warranty']>['verdict'], (threshold: string) => string> = {
  above: threshold => `It holds more than the ${threshold} that was promised.`,
  below: threshold => `It holds less than the ${threshold} that was promised.`,
  cannotSay: threshold =>
    `Whether it holds the ${threshold} that was promised cannot be said yet: it lies within the range.`,
};
export const NO_WARRANTY = 'No promise is told.';
export const TELL_WARRANTY = 'Tell it in Setup';
export const WARRANTY_LINE = 'Dotted: what was promised.';
export const WARRANTY_UNTIL = (date: string): string => `Promised until ${date}.`;
export const WARRANTY_CYCLES = (cycles: string): string => `Promised for ${cycles} cycles.`;
export const YEARS_COLUMNS = ['day', 'delivered', 'mean load', 'battery', 'of the first', 'samples'] as const;
export const samplesOf = (day: string): string => `Samples of ${day} as CSV`;
export const THE_FIRST = 'the first';
export const UNLIKE_FIRST = 'unlike the first';
export const YEARS_DRAWING = 'Usable energy over time';
export const YEARS_CAPTION = 'Filled: alike in load, temperature and range. Open: not held against the others.';
export const EVIDENCE = 'As evidence give both: the report, and the raw samples of each trial as CSV.';
