/** Words of the Ledger's account: where the rest went, what it was worth, the station's own counter, and why. */

export const REST = 'Where the rest went';
export const restTold = (clear: string, harvest: string, share: string): string =>
  `A cloudless sky would have given ${clear}; ${harvest} of it came in, ${share}.`;
export const REST_COLUMNS = ['cause', 'energy', 'of a clear sky', 'end to end'] as const;
export const CAUSES = {
  harvest: 'came in',
  cloudWh: 'cloud',
  shadeWh: 'shade',
  fullWh: 'battery full',
  portLimitWh: 'port limit',
  notOutWh: 'panels not set out',
  notRecordedWh: 'not recorded',
  otherWh: 'other',
} as const;
export const OTHER_MORE = 'more than the model gives';
export const NO_CLEAR_SKY =
  'What a cloudless sky would have given is not known: it takes the place, and how the panels stand.';
export const OPEN_SETUP = 'Tell it in Setup';
export const unknownDays = (count: number, text: string): string =>
  count === 0 ? '' : count === 1 ? 'Of one day it cannot be said.' : `Of ${text} days it cannot be said.`;

export const WHY_REST = [
  'Measured: the watts coming in from the sun, summed over the time between readings that are close together. A gap counts as not recorded, never as zero and never as a guess.',
  'Assumed: a cloudless sky over the place, on the panels as they stood that day with their rating and losses. Such a model is known to some 10 % a day, and every part beneath it inherits that.',
  'Cloud is what the record cannot tell from it: light that fell short of the clear sky while nothing else explains it.',
  'Learned: shade is told only where clear hours on several days showed it. Battery full and port limit are minutes at the charge ceiling or at the ports’ limit.',
  'Panels not set out are stretches you named: lent, stored, travelling, panels in.',
  'Other is what no cause explains: heat, dirt, how the panels were turned. It is negative where more came in than the model gives.',
] as const;

/** Instead of a span. */
export const NO_MINUTE = 'never';
export const whyYield = (fullMin: string, limitMin: string): string =>
  `Final yield is energy from the sun by the panels’ rating, reference yield the light on them by 1 kW/m² (IEC 61724-1), both over recorded time. The performance ratio is the one by the other without the minutes in which a full battery (${fullMin}) or a port’s limit (${limitMin}) held the panels back; months weigh their days by light.`;
export const REFERENCE_CLEAR =
  'No sensor told the light, so the reference is a cloudless sky: a low ratio of a cloudy month says more of the clouds than of the panels.';
export const REFERENCE_MEASURED = 'The light was measured.';
export const referenceMixed = (measured: string, clear: string): string =>
  `Of ${measured} days the light was measured; for ${clear} the reference is a cloudless sky.`;

export const WORTH = 'What it was worth';
export const worthTold = (money: string): string => `At the tariff of the hours it came in: ${money}.`;
export const WORTH_RECKONED = 'Reckoned at the tariff of the hours it came in.';
export const paidTold = (worth: string, since: string, paid: string): string =>
  `Since ${since} that is ${worth} of the ${paid} the set cost.`;
export const freeTold = (worth: string, since: string): string =>
  `Since ${since} that is ${worth}, and the set cost nothing.`;
export const worthSince = (worth: string, since: string): string => `Since ${since} that is ${worth}.`;
export const backOn = (date: string): string => `The set had come back on ${date}.`;
export const BACK = 'The set has come back.';
export const backBetween = (from: string, to: string): string => `It comes back between ${from} and ${to}.`;
export const NOT_YET = {
  short: 'When it comes back is not yet to be said: that takes a whole year on record.',
  notPaid: 'When it comes back is not yet to be said: what was paid for the station or the panels is not told.',
  past: 'When it comes back is told of the whole record: look at All.',
  nothing: 'When it comes back is not to be said: a year brings too little of what it cost.',
} as const;
export const LOOK_AT_ALL = 'Look at All once there is one.';
export const PAYBACK_DRAWING = 'Worth of the energy over time, and what the set cost';
export const paidLine = (paid: string): string => `cost ${paid}`;
export const NO_TARIFF = 'What it was worth is not known: no tariff is set.';
export const WORTH_SIMULATED = 'Prices and cost are invented, like all of this simulated station.';
export const WHY_WORTH = [
  'Measured: the energy from the sun, hour by hour.',
  'Assumed: each hour would have been bought from the wall at the price of that hour, as the tariff was on that day. Energy that you would not have bought was worth less.',
  'Learned: the pace of the last twelve months. The earlier date takes the gaps to have been like the rest and a sunny year; the later one takes the gaps as nothing and a poor year. Years differ by some 10 %: common practice, no source.',
  'Wear of the battery and the worth of having power in an outage are not in it.',
] as const;
