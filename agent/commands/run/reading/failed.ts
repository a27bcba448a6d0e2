/** A failure on its way through the pipe of a child, and back. */
import { ERROR_CODES, type ErrorCode, WattkeepError } from '#kit';
import type { Failed } from './frames.ts';

export function failureOf(error: unknown): Failed {
  if (error instanceof WattkeepError) return { code: error.code, message: error.message, fix: error.fix };
  return { code: null, message: error instanceof Error ? (error.stack ?? error.message) : String(error), fix: '' };
}

/** @param payload JSON of a Failed */
export const errorOf = (payload: Buffer): Error => errorFrom(JSON.parse(payload.toString()) as Failed);

export function errorFrom({ code, message, fix }: Failed): Error {
  const known = ERROR_CODES.find((one): one is ErrorCode => one === code);
  return known === undefined ? new Error(message) : new WattkeepError(known, message, fix);
}
