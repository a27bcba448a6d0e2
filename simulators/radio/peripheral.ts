/**
 * A Bluetooth LE peripheral in the air: it advertises until somebody holds it, answers, notifies, and goes wrong in the
 * ways it is told to. One host at a time, as most stations have it.
 */
import { type AttributeFaults, AttributeServer } from './attribute-server.ts';
import { type Attribute, attributeTable, type ServicePlan, uuidBytes } from './attributes.ts';
import { STATUS } from './packets.ts';

export interface PeripheralPlan {
  /** `aa:bb:cc:dd:ee:ff`. */
  readonly address: string;
  /** Advertised; left out: it has none. */
  readonly name?: string;
  readonly services: readonly ServicePlan[];
  /** Advertised services; default: all of 4 digits and the first of 32. */
  readonly advertises?: readonly string[];
  readonly rssiDbm?: number;
}

export interface PeripheralFaults extends AttributeFaults {
  /** Out of reach: neither heard nor connected to. */
  absent?: boolean;
  /** Heard, and takes no connection: another client holds it. */
  held?: boolean;
  /** Heard as ever, and never connected to: it went away in between. */
  deaf?: boolean;
  /** Connecting fails at once. */
  refuses?: boolean;
}

/** What holds a peripheral: a connection of some controller. */
export interface Holder {
  /** Sends an attribute message to the host. */
  send(message: Buffer): void;
  /** Bytes put to the host as they are: a broken packet. */
  sendRaw(packet: Buffer): void;
  /** The link ends; `reason` is told to the host. */
  lost(reason: number): void;
  readonly handle: number;
}

const NOTIFY = 0x1b;
const INDICATE = 0x1d;
const LEGACY_BYTES = 31;

const field = (type: number, body: Uint8Array): Buffer => Buffer.concat([Buffer.from([body.length + 1, type]), body]);

export class Peripheral {
  readonly plan: PeripheralPlan;
  readonly faults: PeripheralFaults = {};
  /** What hosts wrote, newest last: the characteristic and the bytes. */
  readonly written: { characteristic: string; bytes: Buffer }[] = [];
  /** Called at each write of the host to a characteristic. */
  onWrite: ((characteristic: string, bytes: Buffer) => void) | null = null;
  connections = 0;
  /** Messages of hosts since it was made. */
  asked = 0;
  readonly #table: Attribute[];
  #holder: Holder | null = null;
  #server: AttributeServer | null = null;

  constructor(plan: PeripheralPlan) {
    this.plan = plan;
    this.#table = attributeTable(plan.services);
  }

  get isHeld(): boolean {
    return this.#holder !== null;
  }

  /** It can be heard now. */
  get isHeard(): boolean {
    return this.#holder === null && this.faults.absent !== true;
  }

  get takesConnections(): boolean {
    return this.isHeard && this.faults.held !== true;
  }

  /** Flags and services; the name travels in the scan response. Legacy advertising: 31 bytes each. */
  advertisement(): { body: Buffer; response: Buffer } {
    const all = this.plan.services.map(service => service.uuid);
    const told = this.plan.advertises ?? [
      ...all.filter(u => u.length === 4),
      ...all.filter(u => u.length > 4).slice(0, 1),
    ];
    const [short, long] = [told.filter(u => u.length === 4), told.filter(u => u.length > 4)];
    const body = Buffer.concat([
      field(0x01, Buffer.from([0x06])),
      ...(short.length === 0 ? [] : [field(0x03, Buffer.concat(short.map(uuidBytes)))]),
      ...(long.length === 0 ? [] : [field(0x07, Buffer.concat(long.map(uuidBytes)))]),
    ]);
    const response = this.plan.name === undefined ? Buffer.alloc(0) : field(0x09, Buffer.from(this.plan.name));
    return { body: body.subarray(0, LEGACY_BYTES), response: response.subarray(0, LEGACY_BYTES) };
  }

  /** A host connected: configurations start anew. */
  hold(holder: Holder): void {
    this.connections += 1;
    this.#holder = holder;
    for (const attribute of this.#table) if (attribute.isConfiguration === true) attribute.value = Buffer.alloc(2);
    this.#server = new AttributeServer(this.#table, {
      faults: this.faults,
      written: (attribute, bytes) => {
        if (attribute.isConfiguration === true || attribute.characteristic === undefined) return;
        this.written.push({ characteristic: attribute.characteristic, bytes });
        this.onWrite?.(attribute.characteristic, bytes);
      },
    });
  }

  letGo(): void {
    this.#holder = null;
    this.#server = null;
  }

  take(message: Buffer): void {
    this.asked += 1;
    const answer = this.#server?.take(message) ?? null;
    if (answer !== null) this.#holder?.send(answer);
  }

  /** Sets what a read gives. */
  set(characteristic: string, value: Uint8Array): void {
    this.#valueOf(characteristic).value = Buffer.from(value);
  }

  /** Sets a value and tells it where the host asked to be told. True where it was told. */
  tell(characteristic: string, value: Uint8Array): boolean {
    const attribute = this.#valueOf(characteristic);
    attribute.value = Buffer.from(value);
    const mode = this.subscription(characteristic);
    if (mode === 'off' || this.#holder === null) return false;
    const opcode = mode === 'indicate' ? INDICATE : NOTIFY;
    this.#holder.send(Buffer.concat([Buffer.from([opcode, attribute.handle & 0xff, attribute.handle >> 8]), value]));
    return true;
  }

  subscription(characteristic: string): 'off' | 'notify' | 'indicate' {
    const configuration = this.#table.find(a => a.isConfiguration === true && a.characteristic === characteristic);
    const bits = configuration?.value[0] ?? 0;
    return (bits & 1) !== 0 ? 'notify' : (bits & 2) !== 0 ? 'indicate' : 'off';
  }

  /** Out of reach for a moment: the host learns of it as a link loss. */
  loseLink(reason: number = STATUS.linkLoss): void {
    this.#holder?.lost(reason);
  }

  /** A notification of one byte, an event cut short, or an empty answer: what breaks a host that trusts lengths. */
  sendBroken(kind: 'notification' | 'event' | 'group'): void {
    if (kind === 'notification') this.#holder?.send(Buffer.from([NOTIFY]));
    if (kind === 'group') this.#holder?.send(Buffer.from([0x11, 0x06]));
    if (kind === 'event') this.#holder?.sendRaw(Buffer.from([0x04, 0x05, 0x04, 0x00]));
  }

  #valueOf(characteristic: string): Attribute {
    const found = this.#table.find(a => a.characteristic === characteristic && a.isConfiguration !== true);
    if (found === undefined) throw new RangeError(`${this.plan.address} has no characteristic ${characteristic}`);
    return found;
  }
}
