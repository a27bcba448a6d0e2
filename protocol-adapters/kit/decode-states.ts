/**
 * From whatever a source sent to the closed words of the states. A word that is not known here becomes `unknown`:
 * better no claim than a wrong one, since input of an unknown source is never counted as harvest.
 */
import type { InputLimit, InputSource, States, Tri } from './reading.ts';
import { printable } from './text.ts';

const LIMITS: readonly unknown[] = ['nothing', 'full', 'port', 'cold', 'owner', 'unknown'] satisfies InputLimit[];
const SOURCES: readonly unknown[] = ['sun', 'wall', 'vehicle', 'generator', 'unknown'] satisfies InputSource[];
const FAULT_CHARACTERS = 80;

const tri = (value: unknown): Tri => (typeof value === 'boolean' ? value : 'unknown');

/** The states in `source`; anything that is not an object gives none. */
export function decodeStates(source: unknown): States {
  if (typeof source !== 'object' || source === null) return {};
  const given = (key: string): unknown =>
    Object.hasOwn(source, key) ? (source as Record<string, unknown>)[key] : undefined;
  const states: States = {};
  for (const key of ['acOutletsOn', 'dcOutletsOn', 'onMains'] as const) {
    const value = given(key);
    if (value !== undefined) states[key] = tri(value);
  }
  const limit = given('inputLimitedBy');
  if (limit !== undefined) states.inputLimitedBy = LIMITS.includes(limit) ? (limit as InputLimit) : 'unknown';
  const inputSource = given('inputSource');
  if (inputSource !== undefined) {
    states.inputSource = SOURCES.includes(inputSource) ? (inputSource as InputSource) : 'unknown';
  }
  const fault = given('fault');
  if (typeof fault === 'string' && fault.trim() !== '') states.fault = printable(fault.trim(), FAULT_CHARACTERS);
  return states;
}
