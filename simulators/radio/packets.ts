/**
 * Host controller interface packets as a controller sends them to its host, and the little it needs to read. Layouts:
 * Bluetooth Core Specification, vol. 4 part E (HCI), 5.4 and 7; from memory, held against a host that is not ours. All
 * numbers little-endian.
 */

export const PACKET = { command: 1, acl: 2, event: 4 } as const;

export const COMMAND = {
  disconnect: 0x0406,
  reset: 0x0c03,
  readLocalVersion: 0x1001,
  readAddress: 0x1009,
  readRssi: 0x1405,
  leReadBufferSize: 0x2002,
  leSetScanEnable: 0x200c,
  leCreateConnection: 0x200d,
  leCancelConnection: 0x200e,
  leConnectionUpdate: 0x2013,
} as const;

/** Reasons and statuses, vol. 1 part F. */
export const STATUS = {
  ok: 0x00,
  unknownConnection: 0x02,
  linkLoss: 0x08,
  disallowed: 0x0c,
  remoteEnded: 0x13,
  hostEnded: 0x16,
  notEstablished: 0x3e,
} as const;

const u16 = (value: number): [number, number] => [value & 0xff, (value >> 8) & 0xff];

/** `aa:bb:…` as it travels: last octet first. */
export const addressBytes = (address: string): number[] =>
  address
    .split(':')
    .map(octet => Number.parseInt(octet, 16))
    .reverse();

export const addressText = (bytes: Uint8Array): string =>
  [...bytes]
    .reverse()
    .map(octet => octet.toString(16).padStart(2, '0'))
    .join(':');

const event = (code: number, body: readonly number[]): Buffer =>
  Buffer.from([PACKET.event, code, body.length, ...body]);

export const commandComplete = (opcode: number, status: number, result: readonly number[] = []): Buffer =>
  event(0x0e, [1, ...u16(opcode), status, ...result]);

export const commandStatus = (opcode: number, status: number): Buffer => event(0x0f, [status, 1, ...u16(opcode)]);

export const disconnectionComplete = (handle: number, reason: number): Buffer =>
  event(0x05, [STATUS.ok, ...u16(handle), reason]);

export const packetsCompleted = (handle: number, count: number): Buffer =>
  event(0x13, [1, ...u16(handle), ...u16(count)]);

const CENTRAL = 0;
/** 30 ms, no latency, 4 s: what travels in units of 1.25 ms and 10 ms. */
const LINK = [...u16(24), ...u16(0), ...u16(400)];

export const connectionComplete = (status: number, handle: number, address: string): Buffer =>
  event(0x3e, [0x01, status, ...u16(handle), CENTRAL, 0, ...addressBytes(address), ...LINK, 0]);

export const connectionUpdated = (handle: number): Buffer => event(0x3e, [0x03, STATUS.ok, ...u16(handle), ...LINK]);

export const REPORT = { connectable: 0x00, notConnectable: 0x03, scanResponse: 0x04 } as const;

/** `rssiDbm` negative. */
export const advertisingReport = (type: number, address: string, body: Uint8Array, rssiDbm: number): Buffer =>
  event(0x3e, [0x02, 1, type, 0, ...addressBytes(address), body.length, ...body, rssiDbm & 0xff]);

const START_TO_HOST = 0b10;
const CONTINUED = 0b01;
const L2CAP_HEADER = 4;

/** One L2CAP message in as many ACL packets of at most `fragmentBytes` as it takes. */
export function* aclPackets(
  handle: number,
  cid: number,
  message: Uint8Array,
  fragmentBytes: number,
): Generator<Buffer> {
  const whole = Buffer.alloc(L2CAP_HEADER + message.length);
  whole.writeUInt16LE(message.length, 0);
  whole.writeUInt16LE(cid, 2);
  whole.set(message, L2CAP_HEADER);
  for (let at = 0; at < whole.length; at += fragmentBytes) {
    const part = whole.subarray(at, at + fragmentBytes);
    const flags = at === 0 ? START_TO_HOST : CONTINUED;
    yield Buffer.from([PACKET.acl, ...u16(handle | (flags << 12)), ...u16(part.length), ...part]);
  }
}

/** Puts a host's ACL fragments of one connection together. `whole`: one L2CAP message and its channel. */
export function createReassembly(whole: (cid: number, message: Buffer) => void): (packet: Buffer) => void {
  let held: Buffer = Buffer.alloc(0);
  return packet => {
    const flags = packet.readUInt16LE(1) >> 12;
    const fragment = packet.subarray(5, 5 + packet.readUInt16LE(3));
    held = (flags & CONTINUED) === 0 ? Buffer.from(fragment) : Buffer.concat([held, fragment]);
    if (held.length < L2CAP_HEADER) return;
    const length = held.readUInt16LE(0);
    if (held.length < L2CAP_HEADER + length) return;
    whole(held.readUInt16LE(2), held.subarray(L2CAP_HEADER, L2CAP_HEADER + length));
    held = Buffer.alloc(0);
  };
}
