/** Words of dated facts: what was true of a station from when on. */

export const FACTS = 'What was true from when';
export const FACTS_WHY =
  'A setting holds from the day it was told. Where it was told later than it became true, put its day right: the measured stays as it is, only what is reckoned from it changes.';
export const LOADING = 'Reading the facts.';
export const NONE = 'Nothing is told yet.';
export const FACT_NAMES = {
  panel: 'panels',
  place: 'place',
  solarPort: 'solar inputs',
  tariff: 'price from the wall',
  paid: 'paid for the station',
  ratedWh: 'energy by its label',
  chargeCeilingPct: 'charged up to',
  reserveFloorPct: 'floor',
  lowCutoffPct: 'switches off at',
  idleW: 'own draw',
  inputSource: 'input comes from',
  zone: 'time zone',
} as const;
export type FactName = keyof typeof FACT_NAMES;
export const NOT_TOLD = 'not told';
export const from = (date: string): string => `from ${date}`;
export const FIRST = 'and before';

export const panelText = (count: number, watts: string, tilt: string, azimuth: string): string =>
  [count === 1 ? watts : `${count} × ${watts}`, tilt, azimuth].filter(text => text !== '').join(', ');
export const tilt = (degrees: string): string => `tilt ${degrees}°`;
export const azimuth = (degrees: string): string => `azimuth ${degrees}°`;
export const placeText = (latitude: string, longitude: string): string => `${latitude}°, ${longitude}°`;
export const portText = (watts: string | null): string => (watts === null ? 'a solar input' : `up to ${watts}`);
export const tariffText = (price: string, hours: number): string =>
  hours === 0
    ? `${price} a kWh`
    : `${price} a kWh, other prices at ${hours} ${hours === 1 ? 'stretch' : 'stretches'} of the week`;

export const PUT_RIGHT = 'Put its day right';
export const putRightLabel = (name: string, value: string): string => `Put its day right: ${name}, ${value}`;
export const DAY = 'True from this day on';
export const TELL = 'What would that change?';
export const DATE_NEEDED = 'This needs a day.';
export const changes = (days: string, from: string, to: string, becomes: string, was: string): string =>
  `On ${days}, ${from === to ? from : `${from} to ${to}`}, “${becomes}” is taken in place of “${was}”.`;
export const daysCount = (count: number, text: string): string =>
  count === 1 ? 'one recorded day' : `${text} recorded days`;
export const CHANGES_NOTHING = 'No recorded day changes by that.';
export const NOTHING_ELSE = 'Nothing that was measured changes, and no other fact.';
export const DO_IT = 'Change the day';
export const DONE = 'Its day is changed.';
export const CANCEL = 'Leave it';
