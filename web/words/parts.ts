/** Words for a station that is put together from parts: which of them is missing, and Setup's fields for them. */

/** `why` and `gives` already in words; `why` '' where it is not known. */
export const partMissing = (name: string, why: string, gives: string): string =>
  `${name}: ${why === '' ? 'nothing comes from it' : why}. Not known until it is back: ${gives}.`;
export const partNotTyped = (name: string, gives: string): string => `${name}: not typed yet: ${gives}.`;
export const partTypedBefore = (name: string, span: string, gives: string): string =>
  `${name}: typed ${span} ago and no longer counted: ${gives}. Type it again.`;

export const partTitle = (n: number): string => `Part ${n}`;
export const ADD_PART = 'Add a part';
export const PARTS_WHY =
  'For a station that no single adapter can read: a meter in the panels’ lead, a plug meter, the percent typed from its screen. Each part gives other quantities; while one is missing, only what it gives is missing.';
