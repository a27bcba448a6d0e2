/** What the Ledger says of the station's own counters. */
import type { CounterName } from '#kit';

export const COUNTER = 'The station’s own counters';

/** What each of them counts, as part of a sentence. */
export const COUNTS: Readonly<Record<CounterName, string>> = {
  solarEnergyWh: 'from the sun',
  inputEnergyWh: 'coming in',
  chargerEnergyWh: 'from wall or vehicle',
  outputEnergyWh: 'going out',
  meterEnergyWh: 'at the meter',
};

export const counted = (energy: string, what: string): string => `The station itself counted ${energy} ${what}.`;
export const countsApart = (share: string, way: 'more' | 'less'): string =>
  `It counts ${share} ${way} than its own watts add up to over the same time.`;
export const COUNTS_SAME = 'Over the same time its own watts add up to as much, as near as its steps can tell.';
export const COUNTS_ALONE = 'Its watts were not recorded meanwhile, so the two cannot be held against each other.';

export const between = (from: string, to: string): string => `Between ${from} and ${to}`;
export const onDay = (day: string, from: string, to: string): string => `On ${day}, between ${from} and ${to}`;
export const bridged = (when: string, energy: string, what: string): string =>
  `${when}, while nothing was recorded, the station counted ${energy} ${what}; it is part of no bar and no sum here.`;
export const severalBridged = (count: string, energy: string, what: string): string =>
  `In ${count} stretches in which nothing was recorded it counted ${energy} ${what}; that is part of no bar and no sum here.`;
/** The same in a list. */
export const block = (when: string, energy: string, what: string): string => `${when}: ${energy} ${what}.`;
/** Of a step that no one day holds, though readings went on. */
export const betweenDays = (when: string, energy: string, what: string): string =>
  `${when} it counted ${energy} ${what} without telling when; it is of no one day.`;
export const NOT_KNOWN = {
  reset: 'the counter began again; what passed is not known',
  unlikely: 'the counter rose by more than could have passed; that is left out',
  overrun: 'the counter may have run over more than once; what passed is not known',
} as const;
export const broke = (when: string, what: string, why: string): string => `${when}, ${what}: ${why}.`;

export const BLOCKS = 'Counted while nothing was recorded';
export const TABLE = 'Each counter beside what its watts add up to';
export const COLUMNS = ['counter', 'counted', 'of it unrecorded', 'against its watts'] as const;
export const AGREES = 'as much';

export const WHY_COUNTED = [
  'Measured: the counters, as the station tells them, and its watts, summed here from reading to reading.',
  'Two ledgers, never added and never averaged: neither fills a hole of the other. The bars are the watts alone.',
  'What a counter gained while nothing was recorded is one block of that time; it belongs to no hour of it, and over midnight to no day.',
  'They are told to differ only beyond what is open: a step of the counter at both ends of each stretch, what lies between two readings, half a watt.',
] as const;
