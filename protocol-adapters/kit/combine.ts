/**
 * One reading of parts that arrive at different moments: characteristics of a Bluetooth station, kinds of frames, or the
 * sources of a composite station. A part stands for a while and then says nothing: never the last value for ever. Times
 * are monotonic ms.
 */
import { judge } from './decode-quantities.ts';
import type { QuantityKey } from './quantities.ts';
import type { DecodedReading } from './reading.ts';

export interface Part {
  readonly reading: DecodedReading;
  /** Up to and without this moment it stands. */
  readonly untilMs: number;
}

/** By name, the one that came last at the end. */
export type Parts = ReadonlyMap<string, Part>;

export const NO_PARTS: Parts = new Map();
const MAX_PARTS = 32;

/** With this part in place of the one of its name; beyond 32 the oldest is forgotten. */
export function withPart(parts: Parts, name: string, reading: DecodedReading, nowMs: number, holdsMs: number): Parts {
  const next = new Map(parts);
  next.delete(name);
  next.set(name, { reading, untilMs: nowMs + holdsMs });
  const [oldest] = next.keys();
  if (next.size > MAX_PARTS && oldest !== undefined) next.delete(oldest);
  return next;
}

function leaveOut({ quantities, states }: DecodedReading, into: DecodedReading): void {
  for (const key of Object.keys(quantities) as QuantityKey[]) {
    into.quantities[key] = null;
    into.reasons[key] = 'notAvailable';
  }
  const { fault: _silent, ...told } = states;
  for (const key of Object.keys(told)) Object.assign(into.states, { [key]: 'unknown' });
}

function putIn({ quantities, states, reasons }: DecodedReading, into: DecodedReading): void {
  for (const key of Object.keys(quantities) as QuantityKey[]) {
    into.quantities[key] = quantities[key] ?? null;
    delete into.reasons[key];
  }
  Object.assign(into.reasons, reasons);
  Object.assign(into.states, states);
}

/** All parts as one reading at this moment; where two tell the same, the later one counts. */
export function combineParts(parts: Parts, nowMs: number): DecodedReading {
  const all = [...parts.values()];
  const standing = all.filter(({ untilMs }) => nowMs < untilMs).map(({ reading }) => reading);
  const into: DecodedReading = { quantities: {}, states: {}, quality: 'good', reasons: {} };
  for (const { reading, untilMs } of all) if (nowMs >= untilMs) leaveOut(reading, into);
  for (const reading of standing) putIn(reading, into);
  const judged = judge(into.quantities, into.reasons);
  // A part without one usable value has told so by its nulls: the others are no worse for it.
  const doubted = judged === 'good' && standing.some(({ quality }) => quality === 'uncertain');
  return { ...into, quality: doubted ? 'uncertain' : judged };
}
