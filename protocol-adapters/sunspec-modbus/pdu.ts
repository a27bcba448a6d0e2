/**
 * The one Modbus function used here, 03 "Read Holding Registers", as a protocol data unit: what is asked and what comes
 * back (MODBUS Application Protocol Specification V1.1b3, section 6.3; exceptions: section 7). Addresses count from 0,
 * numbers are big-endian. Nothing here can write.
 */
export const READ_HOLDING_REGISTERS = 0x03;
/** An exception reply carries the function with its highest bit set. */
export const EXCEPTION = 0x80;
/** Registers one question may ask for. */
export const MAX_REGISTERS = 125;

const EXCEPTIONS: Readonly<Record<number, string>> = {
  1: 'function not known to it',
  2: 'no such register',
  3: 'value not allowed',
  4: 'fault of the device',
  5: 'it needs more time',
  6: 'busy',
  8: 'memory fault',
  10: 'the gateway has no way to it',
  11: 'the device behind the gateway does not answer',
};

/** The gateway speaks for a device that is not there. */
export const speaksForNobody = (exception: number): boolean => exception === 10 || exception === 11;

export const exceptionWords = (code: number): string => `exception ${code}, ${EXCEPTIONS[code] ?? 'unknown'}`;

/** `address` 0 to 65 535, `count` 1 to 125. */
export const readRegisters = (address: number, count: number): readonly number[] => [
  READ_HOLDING_REGISTERS,
  address >> 8,
  address & 0xff,
  count >> 8,
  count & 0xff,
];

/** Bytes of the data unit that begins so, or 0 where it is none that answers function 03. */
export function replyBytes(functionCode: number, second: number): number {
  if (functionCode === (READ_HOLDING_REGISTERS | EXCEPTION)) return 2;
  const plausible = functionCode === READ_HOLDING_REGISTERS && second % 2 === 0 && second <= 2 * MAX_REGISTERS;
  return plausible && second > 0 ? 2 + second : 0;
}

export type Reply = { readonly registers: DataView } | { readonly exception: number };

/** The reply to a question for `count` registers, or null where it answers another question. */
export function readReply(pdu: Uint8Array, count: number): Reply | null {
  const [functionCode = 0, second = 0] = pdu;
  if (pdu.length !== replyBytes(functionCode, second)) return null;
  if (functionCode !== READ_HOLDING_REGISTERS) return { exception: second };
  return second === 2 * count ? { registers: new DataView(pdu.buffer, pdu.byteOffset + 2, second) } : null;
}
