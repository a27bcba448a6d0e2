/**
 * Where a device's models stand: the mark "SunS" at one of three bases, then one model after the other, each telling
 * its number and length, up to the end model (SunSpec Device Information Model Specification, section on model layout).
 */
import { type Ask, type Asking, isMark, type Line, type Told } from './line.ts';
import { BASES, END_MODEL, HEADER_REGISTERS } from './models.ts';
import { exceptionWords, speaksForNobody } from './pdu.ts';

export interface Model {
  readonly id: number;
  /** Registers after the header. */
  readonly length: number;
  /** Register of its id. */
  readonly address: number;
}

export interface Device {
  readonly unit: number;
  readonly base: number;
  readonly models: readonly Model[];
}

/** A unit that is not there costs this each time. */
const SEARCH_WITHIN_MS = 600;
const MARK_REGISTERS = 2;
const MAX_MODELS = 64;
const TRIES = 3;
const LAST_REGISTER = 0xffff;

/** A unit and the base of its mark, or in words what was found instead. */
function* findMark(line: Line): Asking<Pick<Device, 'unit' | 'base'> | string> {
  const answering: number[] = [];
  for (const unit of line.units) {
    for (const [i, base] of BASES.entries()) {
      // A count of its own for each base: what one of them answers late is no answer to the next.
      const ask = { unit, address: base, count: MARK_REGISTERS + i, withinMs: SEARCH_WITHIN_MS };
      const told = yield* line.ask(ask);
      if ('silent' in told || ('exception' in told && speaksForNobody(told.exception))) break;
      if ('registers' in told && isMark(told.registers)) return { unit, base };
      if (answering.at(-1) !== unit) answering.push(unit);
    }
  }
  if (answering.length === 0) return `nothing answers as unit ${line.units.join(', ')}`;
  return `unit ${answering.join(', ')} answers, and "SunS" stands nowhere at ${BASES.join(', ')}`;
}

function* askAgain(line: Line, { unit, base }: Pick<Device, 'unit' | 'base'>, ask: Ask): Asking<Told> {
  for (let i = 1; ; i++) {
    const told = yield* line.ask(ask);
    if (!('silent' in told) || i === TRIES || !(yield* line.settle(unit, base))) return told;
  }
}

/** The device on this line, or in words why none was found. */
export function* findDevice(line: Line): Asking<Device | string> {
  const mark = yield* findMark(line);
  if (typeof mark === 'string') return mark;
  const models: Model[] = [];
  let address = mark.base + MARK_REGISTERS;
  while (models.length < MAX_MODELS && address < LAST_REGISTER) {
    const header = { unit: mark.unit, address, count: HEADER_REGISTERS };
    const told = yield* askAgain(line, mark, header);
    if ('silent' in told) return `it stopped answering at register ${address}`;
    if ('exception' in told) {
      // Some devices have no end model and refuse what lies behind the last one.
      if (models.length > 0) break;
      return `${exceptionWords(told.exception)}, at register ${address}`;
    }
    const id = told.registers.getUint16(0);
    if (id === END_MODEL) break;
    const length = told.registers.getUint16(2);
    models.push({ id, length, address });
    address += HEADER_REGISTERS + length;
  }
  return { ...mark, models };
}
