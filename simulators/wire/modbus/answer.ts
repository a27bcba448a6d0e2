/**
 * A Modbus device that can only be read: data unit in, data unit out (MODBUS Application Protocol V1.1b3, sections 6.3
 * and 7). Big-endian, addresses from 0.
 */

const READ = 0x03;
const MAX_REGISTERS = 125;
export const ILLEGAL_FUNCTION = 1;
export const ILLEGAL_ADDRESS = 2;
export const ILLEGAL_VALUE = 3;

export interface Holding {
  /** Address of the first register. */
  readonly base: number;
  readonly words: Uint16Array;
}

const exception = (functionCode: number, code: number): Uint8Array => Uint8Array.of(functionCode | 0x80, code);

/** What a device answers that holds these registers. */
export function answerPdu(pdu: Uint8Array, { base, words }: Holding): Uint8Array {
  const functionCode = pdu[0] ?? 0;
  if (functionCode !== READ) return exception(functionCode, ILLEGAL_FUNCTION);
  if (pdu.length !== 5) return exception(READ, ILLEGAL_VALUE);
  const view = new DataView(pdu.buffer, pdu.byteOffset, pdu.length);
  const [first, count] = [view.getUint16(1) - base, view.getUint16(3)];
  if (count < 1 || count > MAX_REGISTERS) return exception(READ, ILLEGAL_VALUE);
  if (first < 0 || first + count > words.length) return exception(READ, ILLEGAL_ADDRESS);
  const reply = new DataView(new ArrayBuffer(2 + 2 * count));
  reply.setUint8(0, READ);
  reply.setUint8(1, 2 * count);
  for (let i = 0; i < count; i++) reply.setUint16(2 + 2 * i, words[first + i]!);
  return new Uint8Array(reply.buffer);
}
