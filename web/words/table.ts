/** Words of the small table and of the drawing: rows, columns, labels, the summary read aloud. */

export const ROWS = { in: 'coming in', out: 'going out', left: 'left' } as const;
export const COLUMNS = { now: 'now', lastHour: 'last hour', today: 'today' } as const;
export const toFloor = (unit: string): string => `${unit} to floor`;
export const notGiven = 'not told';
export const partlyRecorded = (percent: string): string => `today: ${percent} recorded`;

export const DRAWING = 'Level, past and ahead';
export const nowLabel = (time: string): string => `${time} now`;
export const floorLabel = (percent: string): string => `floor ${percent}`;
export const inLabel = (power: string): string => `coming in, to ${power}`;
export const outLabel = 'going out, same scale';
export const sunsetLabel = (time: string): string => `sunset ${time}`;
export const sunriseLabel = (time: string): string => `sunrise ${time}`;

export const readPast = (time: string, percent: string, input: string, output: string): string =>
  `${time}: ${percent} left, ${input} in, ${output} out`;
export const readGap = (time: string, reason: string | null): string =>
  `${time}: no readings${reason === null ? '' : `, ${reason}`}`;
export const readAhead = (time: string, low: string, middle: string, high: string): string =>
  `${time}: likely ${middle}, four times in five ${low} to ${high}`;
export const CURSOR_HELP = 'Arrow keys move along the drawing, Home and End go to its ends.';

export const NUMBERS_OF_DRAWING = 'The drawing in numbers';
export const NUMBER_COLUMNS = ['time', 'left', 'coming in', 'going out'] as const;
export const aheadCell = (low: string, high: string): string => `${low} to ${high}`;
export const summaryEmpty = 'Nothing was recorded in this time.';
export const summaryPast = (from: string, low: string, high: string, now: string): string =>
  `Since ${from} the level was between ${low} and ${high}; now it is ${now}.`;
export const summaryAhead = (percent: string, promised: string, middle: string | null): string =>
  middle === null
    ? `${percent} is expected about ${promised}.`
    : `${percent} is expected between ${promised} and later, most likely ${middle}.`;
export const summaryGaps = (count: number, reasons: string): string =>
  `${count === 1 ? 'One stretch has' : `${count} stretches have`} no readings${reasons === '' ? '' : `: ${reasons}`}.`;
export const FIGURES = 'Figures now, in the last hour and today';
export const QUANTITY = 'quantity';
