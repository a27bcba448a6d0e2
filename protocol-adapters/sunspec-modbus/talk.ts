/**
 * The conversation with a device: find it, then read its blocks once an interval. What one block refuses or leaves
 * unanswered is missing from the reading, and the rest is given; a device that says nothing usable five times in a row
 * is looked for anew, since it may have been exchanged.
 */
import { type DecodedReading, type QuantityKey, type Rejection, STREAM, type Talk } from '#kit';
import { type Blocks, chooseBlocks } from './blocks.ts';
import { type Device, findDevice } from './find.ts';
import { type Asking, createLine, type Line } from './line.ts';
import { BATTERY } from './models.ts';
import { pointValue } from './points.ts';
import { NAMES, readBlocks } from './read-blocks.ts';
import { readingOf } from './reading.ts';
import type { Wire } from './wire.ts';

const FAILURES = 5;
/** Readings in a row with an unmoved heartbeat, which counts seconds, after which the values are not believed. */
const STILL_READINGS = 5;

/** Whether a device answers the same old values again and again: its heartbeat moved once and does not any more. */
function watchHeartbeat(): (battery: DataView | null) => boolean {
  let last: number | null = null;
  let moved = false;
  let still = 0;
  return battery => {
    const beat = battery === null ? null : (pointValue(battery, BATTERY.heartbeat) ?? null);
    if (beat === null) return still >= STILL_READINGS;
    if (last !== null && beat !== last) moved = true;
    still = moved && beat === last ? still + 1 : 0;
    last = beat;
    return still >= STILL_READINGS;
  };
}

const oldValues = (reading: DecodedReading): DecodedReading => ({
  ...reading,
  quality: 'bad',
  states: { ...reading.states, fault: 'its values stand still' },
});

/** What was told before and is not now is missing, not forgotten. */
function withMissing(reading: DecodedReading, known: Set<QuantityKey>): DecodedReading {
  const quantities = { ...reading.quantities };
  for (const key of known) quantities[key] ??= null;
  const reasons = { ...reading.reasons };
  for (const key of known) if (quantities[key] === null) reasons[key] ??= 'notAvailable';
  for (const key of Object.keys(quantities) as QuantityKey[]) known.add(key);
  return { ...reading, quantities, reasons };
}

/** Reads until nothing usable comes any more. */
function* poll(line: Line, device: Device, blocks: Blocks): Asking<void> {
  const standsStill = watchHeartbeat();
  const known = new Set<QuantityKey>();
  for (let failures = 0; failures < FAILURES; ) {
    const read = yield* readBlocks(line, device, blocks);
    if (read === null || NAMES.every(name => read[name] === null)) failures += 1;
    else {
      failures = 0;
      const reading = withMissing(readingOf(blocks, read), known);
      yield { step: 'give', answer: standsStill(read.battery) ? oldValues(reading) : reading };
    }
    yield { step: 'rest' };
  }
}

/** Ends only where no SunSpec device with something to tell is found. */
export function* converse(wire: Wire): Talk {
  const line = createLine(wire);
  for (;;) {
    const device = yield* findDevice(line);
    if (typeof device === 'string') return device;
    const blocks = chooseBlocks(device.models);
    if (NAMES.every(name => blocks[name] === null)) {
      return `its models ${device.models.map(model => model.id).join(', ')} tell neither power nor charge`;
    }
    yield* poll(line, device, blocks);
  }
}

/** Nothing comes unasked on this line. */
export const unasked = (_frame: Uint8Array, from: string): Rejection => ({
  rejected: 'unexpected',
  detail: from === STREAM ? 'an answer that nothing asked for' : `bytes from ${from}`,
});
