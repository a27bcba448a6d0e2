/** What the owner is called for, on every view. */

/** @param left what is promised, as a span */
export const ending = (station: string, left: string, floor: string, at: string): string =>
  `${station}: no more than ${left} is promised now. The floor of ${floor} may come at ${at}.`;
export const quiet = (station: string, load: string, since: string): string =>
  `${station}: ${load} has not drawn since ${since}, three of its cycles or more. Look at it: the outlets may have switched off.`;
export const whatDrew = (watts: string): string => `what drew ${watts}`;
export const PUT_AWAY = 'Put this away';
