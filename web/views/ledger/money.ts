/** An amount of money in words, in the currency the tariff names. */
import { asText, type Formats } from '../../format.ts';

/** Cents below a hundred, whole units above. */
export const money = (amount: number, currency: string, formats: Formats): string =>
  asText({ text: formats.number(amount, Math.abs(amount) < 99.995 ? 2 : 0), unit: currency });
