/** What the owner is called for, on every view. What follows, what to do and how long there is comes with the alarm. */

/** @param calledAt when that was said: it stands for a while @param left what was promised then, as a span */
export const ending = (station: string, calledAt: string, left: string, floor: string, at: string): string =>
  `${station}: at ${calledAt} no more than ${left} was promised. The floor of ${floor} may come at ${at}.`;
/** Nothing was learned yet. */
export const endingByLabel = (station: string, floor: string, at: string): string =>
  `${station}: by its label alone, the floor of ${floor} may come at ${at}.`;
export const quiet = (station: string, load: string, since: string): string =>
  `${station}: ${load} has not drawn since ${since}, three of its cycles or more. Look at it: the outlets may have switched off.`;
export const whatDrew = (watts: string): string => `what drew ${watts}`;
export const silent = (station: string, watts: string, at: string): string =>
  `${station}: no readings since ${at}. ${watts} were drawn then.`;
/** @param where the port, or the input where no port in particular is told */
export const overVolts = (station: string, volts: string, where: string, limit: string): string =>
  `${station}: ${volts} at ${where}. Its limit is ${limit}.`;
export const INPUT = 'the input';
export const port = (number: number, name: string | null): string =>
  `port ${number}${name === null ? '' : ` (${name})`}`;
export const cold = (station: string, degrees: string): string => `${station}: it is charged at ${degrees}.`;
export const fault = (station: string, told: string): string => `${station} reports: ${told}.`;
/** Without figures, or of the agent itself. */
export const plain = (station: string | null, cause: string): string =>
  station === null ? cause : `${station}: ${cause.charAt(0).toLowerCase()}${cause.slice(1)}`;

export const over = (text: string, since: string): string => `Over since ${since}: ${text}`;
export const ALARMS = 'Alarms';
export const ACKNOWLEDGE = 'Acknowledge';
export const ACKNOWLEDGED = 'Acknowledged.';
export const MORE = 'What to do, and how long there is';
export const SET_ASIDE = 'Set aside';
export const SHELVES = { '1h': 'for 1 hour', '8h': 'for 8 hours', tomorrow: 'until tomorrow' } as const;
export const shelved = (count: number): string =>
  count === 1 ? 'One alarm is set aside.' : `${count} alarms are set aside.`;
export const until = (text: string, at: string): string => `Until ${at}: ${text}`;
export const UNSHELVE = 'Take it back';

export const SOUND_ON = 'Sound a tone with each alarm';
export const SOUND_WHY =
  'A few short tones while this page is open. A browser lets a page sound only after a tap: choose it anew each time.';
export const NO_SOUND = 'This browser gives no sound to a page.';
