/** How numbers are written: the page brings its own language and temperature scale, the command line this plain one. */

/** Each gives the number with its unit. */
export interface Units {
  volts(v: number): string;
  amps(a: number): string;
  watts(w: number): string;
  /** A temperature, from °C. */
  tempC(c: number): string;
  /** A share in percent. */
  percent(p: number): string;
  /** A change for each kelvin, from %/K. */
  percentPerK(p: number): string;
}

const upTo = (digits: number, value: number) => {
  const rounded = Number(value.toFixed(digits));
  return `${rounded < 0 ? '−' : ''}${Math.abs(rounded)}`;
};

/** Decimal points, °C. */
export const plainUnits: Units = {
  volts: v => `${upTo(1, v)} V`,
  amps: a => `${upTo(1, a)} A`,
  watts: w => `${upTo(0, w)} W`,
  tempC: c => `${upTo(1, c)} °C`,
  percent: p => `${upTo(1, p)} %`,
  percentPerK: p => `${upTo(2, p)} % for each degree C`,
};
