/** Numbers of the command line: typed ones checked, printed ones without a tail of binary fractions. */
import { WattkeepError } from '#kit';

export const usage = (message: string, fix: string) => new WattkeepError('USAGE', message, fix);

/**
 * A plain decimal number; undefined where the option is not given.
 *
 * @throws WattkeepError USAGE
 */
export function numberWithin(name: string, text: string | undefined, least: number, most: number): number | undefined {
  if (text === undefined) return undefined;
  const value = /^[+-]?(\d+\.?\d*|\.\d+)$/.test(text.trim()) ? Number(text) : Number.NaN;
  if (value >= least && value <= most) return value;
  throw usage(`${name} is ${text.slice(0, 40)}.`, `Give a number from ${least} to ${most}.`);
}

/** The same with every number to six decimals: more than any of them is good for. */
export const rounded = <T>(found: T): T =>
  JSON.parse(JSON.stringify(found, (_, value) => (typeof value === 'number' ? Math.round(value * 1e6) / 1e6 : value)));
