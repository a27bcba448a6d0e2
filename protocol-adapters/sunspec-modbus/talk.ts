/**
 * The conversation with a device: find it, then read its blocks once an interval. What one block refuses or leaves
 * unanswered is missing from the reading, and the rest is given; a device that says nothing usable five times in a row
 * is looked for anew, since it may have been exchanged.
 */
import { type DecodedReading, type QuantityKey, type Rejection, STREAM, type Talk } from '#kit';
import { type Block, type Blocks, chooseBlocks } from './blocks.ts';
import { type Device, findDevice } from './find.ts';
import { type Asking, createLine, type Line, REPLY_WITHIN_MS, type Told } from './line.ts';
import { BATTERY } from './models.ts';
import { exceptionWords, MAX_REGISTERS } from './pdu.ts';
import { pointValue } from './points.ts';
import { type Registers, readingOf } from './reading.ts';
import type { Wire } from './wire.ts';

const FAILURES = 5;
const ROUNDS = 4;
/** Readings in a row with an unmoved heartbeat, which counts seconds, after which the values are not believed. */
const STILL_READINGS = 5;

type BlockName = keyof Blocks;
const NAMES: readonly BlockName[] = ['ac', 'ports', 'storage', 'battery'];

const refusal = (told: { readonly exception: number }, block: Block): Rejection => ({
  rejected: 'refused',
  detail: `${exceptionWords(told.exception)}: model ${block.model.id} at register ${block.model.address}`,
});

/** A block in as many questions as it takes; the first shows by its header that it is the right one. */
function* readBlock(line: Line, { unit }: Device, { model, registers }: Block): Asking<Told> {
  const whole = new DataView(new ArrayBuffer(2 * registers));
  const isIt = (view: DataView): boolean => view.getUint16(0) === model.id && view.getUint16(2) === model.length;
  for (let from = 0; from < registers; from += MAX_REGISTERS) {
    const count = Math.min(MAX_REGISTERS, registers - from);
    const ask = { unit, address: model.address + from, count, withinMs: REPLY_WITHIN_MS };
    const told = yield* line.ask(from === 0 ? { ...ask, isIt } : ask);
    if (!('registers' in told)) return told;
    for (let i = 0; i < count; i++) whole.setUint16(2 * (from + i), told.registers.getUint16(2 * i));
  }
  return { registers: whole };
}

/** One round over the blocks: what was read, the block that stayed silent, or null where the line is dead. */
function* readRound(
  line: Line,
  device: Device,
  blocks: Blocks,
  skipped: ReadonlySet<BlockName>,
): Asking<Registers | BlockName | null> {
  const read: { [B in BlockName]: DataView | null } = { ac: null, ports: null, storage: null, battery: null };
  for (const name of NAMES) {
    const block = blocks[name];
    if (block === null || skipped.has(name)) continue;
    const told = yield* readBlock(line, device, block);
    if ('silent' in told) return (yield* line.settle(device.unit, device.base)) ? name : null;
    if ('registers' in told) read[name] = told.registers;
    else yield { step: 'give', answer: refusal(told, block) };
  }
  return read;
}

/**
 * What could be read of the blocks just now, or null where the line is dead. A silence begins the round anew, so that
 * all values of a reading are of one moment; a block that stays silent again is left out.
 */
function* readBlocks(line: Line, device: Device, blocks: Blocks): Asking<Registers | null> {
  const silent = new Set<BlockName>();
  const skipped = new Set<BlockName>();
  for (let round = 0; round < ROUNDS; round++) {
    const told = yield* readRound(line, device, blocks, skipped);
    if (typeof told !== 'string') return told;
    if (silent.has(told)) skipped.add(told);
    silent.add(told);
  }
  return null;
}

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
