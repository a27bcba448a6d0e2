/** Words of one day of the Ledger: what it gathered, its drawing, figures and notes. */

export const DAY_LOADING = 'Reading the day.';
export const DAY_FAILED = 'The day could not be read.';
export const noSuchDate = (text: string): string => `There is no date ${text}.`;
export const NO_SUCH_DATE_SURE = 'A day stands at an address such as /ledger/2026-07-03.';
export const NO_STATION = 'There is no station yet.';
export const notCome = (date: string): string => `${date} has not come yet.`;
export const nothingOf = (date: string): string => `Nothing is recorded of ${date}.`;
export const gatheredOn = (energy: string, date: string): string => `${energy} from the sun on ${date}.`;
export const gatheredToday = (energy: string): string => `${energy} from the sun today so far.`;
export const allRecorded = 'All of it is recorded.';
export const allRecordedToday = 'All of it up to now is recorded.';
export const recordedShare = (share: string, span: string): string => `${share} of it is recorded; ${span} is not`;
export const because = (reasons: string): string => `: ${reasons}`;
export const couldGive = 'A clear sky could have given ';
export const hoursLong = (hours: string): string => ` The clocks changed: it was ${hours} hours long.`;

export const TO_LEDGER = 'All days';
export const previousDay = (date: string): string => `← ${date}`;
export const nextDay = (date: string): string => `${date} →`;
export const previousLabel = (date: string): string => `The day before with anything on record, ${date}`;
export const nextLabel = (date: string): string => `The next day with anything on record, ${date}`;
export const DAYS_BESIDE = 'Other days';

export const DAY_DRAWING = 'The day: state of charge, coming in, going out';
export const inLabel = (top: string): string => `coming in, to ${top}`;
export const outLabel = 'going out, same scale';
export const clearLabel = 'clear sky';
export const outageLabel = 'mains failed';
export const nowLabel = (time: string): string => `${time} now`;
export const readDayAt = (time: string, level: string, input: string, output: string, clear: string | null): string =>
  `${time}: ${level}, in ${input}${clear === null ? '' : ` (clear sky ${clear})`}, out ${output}`;
export const readDayGap = (time: string, reason: string | null): string =>
  `${time}: ${reason === null ? 'not recorded' : `not recorded, ${reason}`}`;
export const readAhead = (time: string, clear: string | null): string =>
  clear === null ? `${time}: still ahead` : `${time}: still ahead, clear sky ${clear}`;
export const daySummary = (low: string, high: string, peak: string): string =>
  `The level was between ${low} and ${high}; at most ${peak} came in.`;
export const daySummaryEmpty = 'Nothing is recorded.';
export const gapsSummary = (count: number): string =>
  count === 1 ? 'One stretch is not recorded.' : `${count} stretches are not recorded.`;
export const CURSOR_HELP = 'Arrow keys read the drawing.';

export const NOT_RECORDED = 'Not recorded';
export const stretch = (from: string, to: string): string => `${from} to ${to}`;
export const OUTAGES = 'Mains failed';
export const outageTold = (from: string, to: string | null, levels: string): string =>
  `${to === null ? `since ${from}` : `${from} to ${to}`}${levels}`;
export const outageLevels = (start: string, end: string): string => `, ${start} to ${end}`;

export const FIGURES = 'The day in figures';
export const FIGURE_NAMES = {
  sun: 'from the sun',
  input: 'coming in, all of it',
  output: 'going out',
  peak: 'most from the sun',
  level: 'state of charge',
  recorded: 'recorded',
  clear: 'clear-sky day',
  finalYield: 'final yield',
  referenceYield: 'reference yield',
  ratio: 'performance ratio',
  full: 'battery full',
  limit: 'at the port’s limit',
  worth: 'worth',
} as const;
export const levelRange = (low: string, high: string): string => `${low} to ${high}`;
export const FROM_CLEAR = 'against a clear sky';
export const FROM_MEASURED = 'against light that was measured';
export const FIGURES_MISSING = 'Yields and where the rest went could not be read.';

export const WENT = 'Where the rest went';
export const CAUSES = {
  cloudWh: 'cloud',
  shadeWh: 'shade',
  fullWh: 'battery full',
  portLimitWh: 'port limit',
  notOutWh: 'panels not set out',
  notRecordedWh: 'not recorded',
  aheadWh: 'still ahead',
  otherWh: 'other',
} as const;
export const OTHER_MORE = 'more than the model gives';

export const NOTES = 'Notes';
export const NO_NOTES = 'Nothing is noted of this day.';
export const WHOLE_DAY = 'the day';
export const NOTE_WHAT = 'Note';
export const NOTE_TIME = 'Time, if it is about a moment';
export const NOTE_ADD = 'Note something';
export const NOTE_SAVE = 'Save the note';
export const NOTE_CHANGE = 'Change';
export const noteChangeLabel = (text: string): string => `Change the note “${text}”`;
export const NOTE_REMOVE = 'Remove';
export const NOTE_REMOVE_SURE = 'Remove it with its words';
export const CANCEL = 'Leave it';
export const NOTE_EMPTY = 'A note needs a few words.';
export const NOTE_TIME_WRONG = 'This day has no such time.';

export const MARKS = 'Marks';
export const markTold = (watts: string, spot: string | null, note: string): string =>
  [watts, spot ?? '', note].filter(text => text !== '').join(', ');

export const FACTS = 'What was true from when';
