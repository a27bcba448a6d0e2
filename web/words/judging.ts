/** Words of "Judge me": how right earlier answers were, on the owner's own record. */

export const OWN_RECORD = 'Judged on your own record';
export const JUDGE = 'Judge me on my last 30 days';
export const JUDGE_AGAIN = 'Judge me again';
export const JUDGE_WHY =
  'The agent lives through your record once more, told of each moment only what came before it. It takes some minutes; readings go on meanwhile.';
export const judging = (percent: string): string => `Living through the record: ${percent} done.`;
export const JUDGE_FAILED = 'The record could not be judged. The log says why.';
export const NOT_YET =
  'Nothing on record came true yet: it takes a stretch without the wall in which some percents go.';
export const cameTrue = (of: string, held: string, promised: string): string =>
  `Of ${of} ranges on your record ${held} came true; ${promised} were promised.`;
export const middleOff = (own: string, plain: string | null): string =>
  plain === null
    ? `Their middle was off by ${own} of the time left (median).`
    : `Their middle was off by ${own} of the time left (median); what is left over the watts of the moment by ${plain}.`;
export const span = (from: string, to: string): string =>
  `From ${from} to ${to}, learning anew from the first day, with your settings of today.`;
export const COLUMNS = ['so far ahead', 'came true', 'off by', 'watts of the moment'] as const;
export const heldOf = (held: string, of: string): string => `${held} of ${of}`;
export const upTo = (time: string): string => `up to ${time}`;
export const beyond = (time: string): string => `beyond ${time}`;
export const toFloor = (discharges: string, came: string, off: string, plain: string | null): string =>
  `Down to the floor (${discharges}): ${came} came true, off by ${off}${plain === null ? '' : `, watts of the moment ${plain}`}.`;
export const warned = (share: string, of: string): string =>
  `The warning of half an hour came in time in ${share} of ${of}.`;
export const NO_FLOOR = 'No discharge went down to the floor, so that end is not judged.';
export const toFull = (charges: string, came: string, off: string): string =>
  `Until full (${charges}): ${came} came true, off by ${off}.`;
export const times = (count: number): string => (count === 1 ? 'once' : count === 2 ? 'twice' : `${count} times`);
