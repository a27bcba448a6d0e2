/**
 * The attribute protocol's server of one connection. Requests and answers: Bluetooth Core Specification, vol. 3 part F
 * (ATT), 3.4; from memory, held against a host that is not ours.
 */
import type { Attribute } from './attributes.ts';

const OP = {
  error: 0x01,
  mtu: 0x02,
  findInformation: 0x04,
  readByType: 0x08,
  read: 0x0a,
  readBlob: 0x0c,
  readByGroup: 0x10,
  write: 0x12,
  prepareWrite: 0x16,
  executeWrite: 0x18,
  confirmation: 0x1e,
  writeCommand: 0x52,
} as const;

const ERROR = {
  invalidHandle: 0x01,
  readNotPermitted: 0x02,
  writeNotPermitted: 0x03,
  notSupported: 0x06,
  notFound: 0x0a,
} as const;

const MTU = 247;
const LEAST_MTU = 23;

/** What a peripheral may do wrong on purpose. Each is looked at when a request comes. */
export interface AttributeFaults {
  /** Requests that get no answer at all. */
  silent?: 'everything' | 'reads' | 'writes' | 'discovery';
  /** Error codes given in place of an answer. */
  readError?: number;
  writeError?: number;
  configurationError?: number;
}

export interface ServerHooks {
  readonly faults: AttributeFaults;
  /** The host wrote a value, or a configuration (0 off, 1 notify, 2 indicate). */
  written(attribute: Attribute, value: Buffer): void;
}

const u16 = (value: number): Buffer => Buffer.from([value & 0xff, value >> 8]);
const failed = (request: number, handle: number, code: number): Buffer =>
  Buffer.from([OP.error, request, handle & 0xff, handle >> 8, code]);

const DISCOVERY: readonly number[] = [OP.readByGroup, OP.readByType];
const READS: readonly number[] = [OP.read, OP.readBlob];

const isSilent = (opcode: number, silent: AttributeFaults['silent']): boolean => {
  if (silent === 'reads') return READS.includes(opcode);
  if (silent === 'writes') return opcode === OP.write;
  return silent === 'everything' || (silent === 'discovery' && DISCOVERY.includes(opcode));
};

export class AttributeServer {
  readonly #table: readonly Attribute[];
  readonly #hooks: ServerHooks;
  #mtu = LEAST_MTU;
  #prepared: { attribute: Attribute; parts: Buffer[] } | null = null;

  constructor(table: readonly Attribute[], hooks: ServerHooks) {
    this.#table = table;
    this.#hooks = hooks;
  }

  /** A message of the host; the answer, or null where there is none. */
  take(message: Buffer): Buffer | null {
    const opcode = message[0]!;
    if (opcode === OP.confirmation || isSilent(opcode, this.#hooks.faults.silent)) return null;
    switch (opcode) {
      case OP.mtu:
        this.#mtu = Math.max(LEAST_MTU, Math.min(MTU, message.readUInt16LE(1)));
        return Buffer.concat([Buffer.from([OP.mtu + 1]), u16(MTU)]);
      case OP.findInformation:
      case OP.readByType:
      case OP.readByGroup:
        return this.#discover(message);
      case OP.read:
      case OP.readBlob:
        return this.#read(message);
      case OP.write:
      case OP.writeCommand:
        return this.#write(message);
      case OP.prepareWrite:
        return this.#prepare(message);
      case OP.executeWrite:
        return this.#execute();
      default:
        return failed(opcode, 0, ERROR.notSupported);
    }
  }

  #at(message: Buffer): Attribute | undefined {
    return this.#table[message.readUInt16LE(1) - 1];
  }

  /** As many entries of one length as fit a message. */
  #listed(head: readonly number[], entries: readonly Buffer[]): Buffer {
    const { length } = entries[0]!;
    const fit = Math.floor((this.#mtu - 2) / length);
    const other = entries.findIndex(entry => entry.length !== length);
    return Buffer.concat([Buffer.from(head), ...entries.slice(0, Math.min(fit, other < 0 ? entries.length : other))]);
  }

  #discover(message: Buffer): Buffer {
    const opcode = message[0]!;
    const [from, to] = [message.readUInt16LE(1), message.readUInt16LE(3)];
    const found = this.#table.filter(
      ({ handle, type }) =>
        handle >= from && handle <= to && (opcode === OP.findInformation || type.equals(message.subarray(5))),
    );
    if (found.length === 0) return failed(opcode, from, ERROR.notFound);
    if (opcode === OP.findInformation) {
      const entries = found.map(({ handle, type }) => Buffer.concat([u16(handle), type]));
      return this.#listed([opcode + 1, entries[0]!.length === 4 ? 1 : 2], entries);
    }
    const entries = found.map(({ handle, endHandle, value }) =>
      Buffer.concat([u16(handle), ...(opcode === OP.readByGroup ? [u16(endHandle)] : []), value]),
    );
    return this.#listed([opcode + 1, entries[0]!.length], entries);
  }

  #read(message: Buffer): Buffer {
    const opcode = message[0]!;
    const attribute = this.#at(message);
    const handle = message.readUInt16LE(1);
    if (attribute === undefined) return failed(opcode, handle, ERROR.invalidHandle);
    if (!attribute.canRead) return failed(opcode, handle, ERROR.readNotPermitted);
    const { readError } = this.#hooks.faults;
    if (readError !== undefined) return failed(opcode, handle, readError);
    const from = opcode === OP.readBlob ? message.readUInt16LE(3) : 0;
    return Buffer.concat([Buffer.from([opcode + 1]), attribute.value.subarray(from, from + this.#mtu - 1)]);
  }

  #write(message: Buffer): Buffer | null {
    const opcode = message[0]!;
    const attribute = this.#at(message);
    const code = this.#writeFault(attribute);
    const isCommand = opcode === OP.writeCommand;
    if (attribute === undefined || code !== null) {
      return isCommand ? null : failed(opcode, message.readUInt16LE(1), code ?? ERROR.invalidHandle);
    }
    const value = Buffer.from(message.subarray(3));
    if (attribute.isConfiguration === true) attribute.value = value;
    this.#hooks.written(attribute, value);
    return isCommand ? null : Buffer.from([opcode + 1]);
  }

  #writeFault(attribute: Attribute | undefined): number | null {
    if (attribute === undefined) return ERROR.invalidHandle;
    if (!attribute.canWrite) return ERROR.writeNotPermitted;
    const { configurationError, writeError } = this.#hooks.faults;
    return (attribute.isConfiguration === true ? configurationError : writeError) ?? null;
  }

  #prepare(message: Buffer): Buffer {
    const attribute = this.#at(message);
    if (attribute === undefined) return failed(OP.prepareWrite, message.readUInt16LE(1), ERROR.invalidHandle);
    this.#prepared = { attribute, parts: [...(this.#prepared?.parts ?? []), Buffer.from(message.subarray(5))] };
    return Buffer.concat([Buffer.from([OP.prepareWrite + 1]), message.subarray(1)]);
  }

  #execute(): Buffer {
    if (this.#prepared !== null) {
      this.#hooks.written(this.#prepared.attribute, Buffer.concat(this.#prepared.parts));
    }
    this.#prepared = null;
    return Buffer.from([OP.executeWrite + 1]);
  }
}
