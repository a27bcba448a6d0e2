/** Words of saving what is recorded as files: what there is, how large, in which form. */

export const SAVE_STRETCH = 'Save the readings of these days';
export const SAVE_DAY = 'Save the readings of this day';
export const COUNTING = 'Counting the readings.';
export const NOT_COUNTED = 'How many there are could not be told.';
export const NOTHING = 'No reading is on record here.';

export const count = (readings: number, text: string): string => (readings === 1 ? 'One reading' : `${text} readings`);
export const minutes = (count: number, text: string): string => (count === 1 ? 'one minute' : `${text} minutes`);
export const whole = (readings: string, size: string): string => `${readings}, some ${size} as CSV.`;
export const withMinutes = (readings: string, means: string, size: string): string =>
  `${readings}, and the means of ${means} whose readings were let go; some ${size} as CSV.`;
export const onlyMinutes = (means: string, size: string): string =>
  `The means of ${means} whose readings were let go, some ${size} as CSV.`;
/** Common practice, no source. */
export const TOO_LONG = 'Most spreadsheets take about a million rows: choose fewer days, or Parquet.';

export const READINGS_CSV = 'Readings as CSV';
export const READINGS_PARQUET = 'Readings as Parquet';
export const FORMS =
  'CSV opens in every spreadsheet, and can be imported again. Parquet holds the same in columns, much smaller, for programs that evaluate.';
export const MADE_ON_THE_WAY =
  'A file is made while it is saved, so that a long one takes a while. One that breaks off is incomplete: save it again.';
