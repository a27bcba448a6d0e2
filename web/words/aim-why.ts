/** Words of the chain behind Aim's sentence. */

export const WHY = 'Why?';
export const NOT_SETTLED = 'Here: nothing to average yet, since the panels were moved or the sky changes.';
export const here = (watts: string, range: string, since: string): string =>
  `Here: ${watts} on average since ${since}, give or take ${range}.`;
export const mark = (letter: string, watts: string, time: string): string =>
  `${letter}: ${watts}, measured at ${time}.`;
export const markNow = (letter: string, watts: string, time: string, now: string): string =>
  `${letter}: ${watts}, measured at ${time}; it would be ${now} at this moment.`;
export const SUN_TAKEN_OUT =
  'What the sun’s own way changed in between is taken out, by what a clear sky gives at both moments.';
export const SUN_LEFT_IN = 'What the sun’s own way changed in between is left in: where the station is, is not known.';
export const SKY = {
  steady: 'The sky was steady in the last minutes.',
  unsteady: 'The sky changed in the last minutes, so nothing is ranked from it.',
  unknown: 'The sky is not judged yet: it takes some minutes of readings.',
} as const;
export const OTHER_PORT = 'the other port';
export const beside = (what: string): string =>
  `Held beside ${what}, whose panels stand still: clouds that dim both are taken out.`;
export const RANGE =
  'A range is right 19 times in 20. A spot is called better only where the difference is greater than chance makes it.';
export const LEFT_OUT =
  'The seconds after a move are left out until the station has found their best again, and a panel just turned to the sun is given time to warm.';
