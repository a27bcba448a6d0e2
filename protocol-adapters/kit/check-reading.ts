/**
 * Checks what an adapter's decode gave, as if a stranger had written it: the adapter's process applies it to decode's
 * answer, the agent once more to what came over the pipe. The adapter's own doubts are kept, never lessened.
 */
import { decodeQuantities, judge } from './decode-quantities.ts';
import { decodeStates } from './decode-states.ts';
import type { QuantityKey } from './quantities.ts';
import type { DecodedReading, Quality, ReasonCode, Rejection, RejectionCause } from './reading.ts';
import { printable } from './text.ts';

export const REJECTION_CAUSES = [
  'tooLong',
  'incomplete',
  'notText',
  'notJson',
  'notObject',
  'noQuantity',
  'checksum',
  'malformed',
  'unexpected',
  'unanswered',
  'refused',
  'wrongProtocol',
  'tooFast',
  'adapterError',
] as const satisfies readonly RejectionCause[];

const REASONS: readonly unknown[] = [
  'notGiven',
  'notAvailable',
  'outOfRange',
  'wrongType',
  'inconsistent',
] satisfies ReasonCode[];
const WORST_FIRST: readonly Quality[] = ['bad', 'uncertain', 'good'];

export const isRejectionCause = (cause: unknown): cause is RejectionCause =>
  (REJECTION_CAUSES as readonly unknown[]).includes(cause);

const isObject = (value: unknown): value is Record<string, unknown> => typeof value === 'object' && value !== null;
const rejection = (rejected: RejectionCause, detail: string): Rejection => ({ rejected, detail });

/** A reading with only known names, checked values and known words, or why there is none. */
export function checkReading(answer: unknown): DecodedReading | Rejection {
  const part = checkPart(answer);
  if ('rejected' in part || Object.keys(part.quantities).length > 0) return part;
  return rejection('noQuantity', 'nothing known in it');
}

/** The same for a part of a reading, which may hold nothing but states. */
export function checkPart(answer: unknown): DecodedReading | Rejection {
  if (!isObject(answer)) return rejection('adapterError', 'decode gave no object');
  if ('rejected' in answer) {
    const cause = answer.rejected;
    if (!isRejectionCause(cause)) return rejection('adapterError', 'decode gave an unknown cause of rejection');
    return rejection(cause, typeof answer.detail === 'string' ? printable(answer.detail) : '');
  }
  if (!isObject(answer.quantities)) return rejection('adapterError', 'decode gave no quantities');
  const { quantities, reasons, known } = decodeQuantities(answer.quantities);
  const states = decodeStates(answer.states);
  if (known === 0 && Object.keys(states).length === 0) return rejection('noQuantity', 'nothing known in it');
  const told = isObject(answer.reasons) ? answer.reasons : {};
  for (const key of Object.keys(quantities) as QuantityKey[]) {
    const reason = Object.hasOwn(told, key) ? told[key] : undefined;
    // `notAvailable` is all that a bare null says; the adapter may know better why.
    if (reasons[key] === 'notAvailable' && REASONS.includes(reason)) reasons[key] = reason as ReasonCode;
  }
  const judged = known === 0 ? 'good' : judge(quantities, reasons);
  const quality = WORST_FIRST.find(q => q === judged || q === answer.quality) ?? judged;
  return { quantities, states, quality, reasons };
}
