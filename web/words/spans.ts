/** Words of spans: stretches of time with their reason, and how a gap is worded by them. */

export const REASONS = {
  lent: 'lent',
  stored: 'stored',
  travelling: 'travelling',
  panelsIn: 'panels in',
  released: 'let go for a while',
  agentDown: 'the agent was not running',
  noReading: 'no readings came',
} as const;
const nameOf = (reason: string): string =>
  Object.hasOwn(REASONS, reason) ? REASONS[reason as keyof typeof REASONS] : reason;
/** For a gap, in the midst of a sentence. */
export const gapText = (reason: string, note: string): string => `${nameOf(reason)}${note === '' ? '' : ` (${note})`}`;
/** For a list. */
export const reasonText = (reason: string, note: string): string =>
  `${nameOf(reason)}${note === '' ? '' : `: ${note}`}`;
export const lentTold = (before: string | null, after: string | null): string =>
  [before === null ? '' : `lent at ${before}`, after === null ? '' : `back at ${after}`]
    .filter(text => text !== '')
    .join(', ');

/** Of a station that says nothing. */
export const stillAway = (reason: string, since: string): string => `It is ${reason} since ${since}.`;

export const SPANS = 'Spans';
export const SPANS_WHY = 'Why the station was not read, or gathered nothing: it explains gaps and small days.';
export const NO_SPANS = 'Nothing is told of this day.';
export const since = (moment: string): string => `since ${moment}`;
export const fromTo = (from: string, to: string): string => `${from} to ${to}`;
export const BEGIN_NOW = 'From now on:';
export const BEGIN = { lent: 'Lent', stored: 'Stored', travelling: 'Travelling', panelsIn: 'Panels in' } as const;
export const END = { lent: 'It is back', stored: 'Taken out', travelling: 'Arrived', panelsIn: 'Panels out' } as const;
export const TELL = 'Tell of a stretch';
export const CHANGE = 'Change';
export const changeLabel = (span: string): string => `Change “${span}”`;
export const REMOVE = 'Remove';
export const REASON = 'What it was';
export const FROM = 'From';
export const TO = 'To';
export const TO_WHY = 'Empty: it still lasts.';
export const NOTE = 'Note';
export const SAVE = 'Save';
export const CANCEL = 'Leave it';
export const FROM_NEEDED = 'This needs a day and a time.';
export const TIME_WRONG = 'There is no such time.';
