/**
 * A device's blocks, read one after the other into one moment. A block is read from its model's header on, which shows
 * that it is the right one; one that is longer than a question may be, in parts.
 */
import type { Rejection } from '#kit';
import type { Block, Blocks } from './blocks.ts';
import type { Device } from './find.ts';
import type { Asking, Line, Told } from './line.ts';
import { exceptionWords, MAX_REGISTERS } from './pdu.ts';
import type { Registers } from './reading.ts';

export type BlockName = keyof Blocks;
export const NAMES: readonly BlockName[] = ['ac', 'ports', 'storage', 'battery'];

/** A silence begins the round anew, so that all values of a reading are of one moment. */
const ROUNDS = 6;
/** A block that stays silent so often is left out of the reading. */
const SILENCES = 3;
/** So many silences in a row, and nobody is there. */
const DEAD = 4;

const refusal = (told: { readonly exception: number }, block: Block): Rejection => ({
  rejected: 'refused',
  detail: `${exceptionWords(told.exception)}: model ${block.model.id} at register ${block.model.address}`,
});

function* readBlock(line: Line, { unit }: Device, { model, registers }: Block): Asking<Told> {
  const whole = new DataView(new ArrayBuffer(2 * registers));
  for (let from = 0; from < registers; ) {
    const lead = line.lead();
    const count = Math.min(MAX_REGISTERS - lead, registers - from);
    const isHeader = (view: DataView): boolean =>
      view.getUint16(2 * lead) === model.id && view.getUint16(2 * lead + 2) === model.length;
    const told = yield* line.ask({
      unit,
      address: model.address + from - lead,
      count: lead + count,
      ...(from === 0 ? { isIt: isHeader } : {}),
    });
    if (!('registers' in told)) return told;
    for (let i = 0; i < count; i++) whole.setUint16(2 * (from + i), told.registers.getUint16(2 * (lead + i)));
    from += count;
  }
  return { registers: whole };
}

/** Again from its header alone, where it may be the earlier beginning that is refused. */
function* readPlainly(line: Line, device: Device, block: Block): Asking<Told> {
  const hasLead = line.lead() > 0;
  const told = yield* readBlock(line, device, block);
  if (!('exception' in told) || !hasLead) return told;
  line.forgoLead();
  return (yield* line.settle(device.unit, device.base)) ? yield* readBlock(line, device, block) : { silent: true };
}

/** One round: what was read, or the block that stayed silent. */
function* readRound(
  line: Line,
  device: Device,
  blocks: Blocks,
  skipped: ReadonlySet<BlockName>,
): Asking<Registers | BlockName> {
  const read: { [B in BlockName]: DataView | null } = { ac: null, ports: null, storage: null, battery: null };
  for (const name of NAMES) {
    const block = blocks[name];
    if (block === null || skipped.has(name)) continue;
    const told = yield* readPlainly(line, device, block);
    if ('silent' in told) return name;
    if ('registers' in told) read[name] = told.registers;
    else yield { step: 'give', answer: refusal(told, block) };
  }
  return read;
}

/** What could be read of the blocks just now, or null where nobody answers. */
export function* readBlocks(line: Line, device: Device, blocks: Blocks): Asking<Registers | null> {
  const silences = new Map<BlockName, number>();
  const skipped = new Set<BlockName>();
  for (let round = 0; round < ROUNDS && line.silences() < DEAD; round++) {
    const told = yield* readRound(line, device, blocks, skipped);
    if (typeof told !== 'string') return told;
    const count = (silences.get(told) ?? 0) + 1;
    silences.set(told, count);
    if (count >= SILENCES) skipped.add(told);
    // Where it cannot be told by its length, a late reply is waited for.
    if (line.lead() === 0 && !(yield* line.settle(device.unit, device.base))) return null;
  }
  return null;
}
