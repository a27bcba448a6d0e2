/** What is told of an outage once it is over. */

export const OVER = 'The last outage';
export const OUTAGES = 'Outages';
export const NO_OUTAGES = 'None on record. One is dated where the station tells that it is on the mains.';
export const DISMISS = 'Put this away';
export const lasted = (span: string): string => `The mains were away for ${span}.`;
export const fromTo = (from: string, to: string): string => `From ${from} to ${to}.`;
export const energy = (used: string, gathered: string): string => `${used} were used, ${gathered} came in.`;
export const levels = (from: string, to: string): string => `It went from ${from} to ${to}`;
export const lowest = (level: string): string => `, ${level} at its lowest`;
export const promisedFirst = (careful: string, likely: string | null): string =>
  likely === null
    ? `First promised: at least until ${careful}.`
    : `First promised: at least until ${careful}, more likely ${likely}.`;
export const NOT_PROMISED = 'It was over before an end could be foretold.';
export const floorKept = (at: string): string => `The floor came at ${at}, no sooner than promised.`;
export const floorEarly = (at: string): string => `The floor came at ${at}, sooner than promised.`;
export const backBefore = 'The mains came back before the floor was reached.';
export const backAfter = (careful: string): string =>
  `The floor was not reached by the time the mains came back, later than ${careful}: the promise was kept.`;
export const floorUnforetold = (at: string): string => `The floor was reached at ${at}.`;
