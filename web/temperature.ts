/** Temperatures are °C in the settings and may be °F on the screen: the one place where typed ones are turned over. */

export type TemperatureUnit = 'C' | 'F';

export const unitSign = (unit: TemperatureUnit): string => (unit === 'F' ? '°F' : '°C');

/** @returns as it is shown, one decimal place at most */
export const shownTemperature = (celsius: number, unit: TemperatureUnit): number =>
  tidy(unit === 'F' ? celsius * 1.8 + 32 : celsius, 1);

/** @returns °C, fine enough that the screen shows again what was typed */
export const celsiusOf = (shown: number, unit: TemperatureUnit): number =>
  unit === 'F' ? tidy((shown - 32) / 1.8, 2) : shown;

const tidy = (value: number, places: number): number => Math.round(value * 10 ** places) / 10 ** places;
