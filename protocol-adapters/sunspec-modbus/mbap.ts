/**
 * Modbus TCP: a header of seven bytes (number of the question, protocol 0, bytes that follow, unit) and the data unit
 * (MODBUS Messaging on TCP/IP Implementation Guide V1.0b, section 3.1.3). A reply carries its question's number, so a
 * late one cannot be mistaken.
 */
import { createScanFramer } from '#kit';
import { readRegisters, readReply, replyBytes } from './pdu.ts';
import type { Wire } from './wire.ts';

const HEADER_BYTES = 7;
/** Header and the longest data unit. */
const MAX_FRAME_BYTES = 260;

const numberOf = (turn: number): readonly [number, number] => [(turn >> 8) & 0xff, turn & 0xff];

export const mbap: Wire = {
  maxFrameBytes: MAX_FRAME_BYTES,
  requests: [{ name: 'read holding registers', bytes: '.. .. 00 00 00 06 .. 03 .. .. 00 ..' }],
  // 255 and 0: the device itself, where it is no gateway.
  units: [1, 126, 255, 0, 2, 3, 4, 5, 247],
  numbered: true,
  quietMs: 0,
  createFramer: () =>
    createScanFramer({
      maxFrameBytes: MAX_FRAME_BYTES,
      headBytes: HEADER_BYTES + 2,
      frameBytes: head => {
        const bytes = replyBytes(head[7]!, head[8]!);
        const told = head[4]! * 256 + head[5]! - 1;
        return head[2] === 0 && head[3] === 0 && bytes > 0 && told === bytes ? HEADER_BYTES + bytes : 0;
      },
    }),
  question(turn, unit, address, count) {
    const number = numberOf(turn);
    const pdu = readRegisters(address, count);
    return {
      send: Uint8Array.of(...number, 0, 0, 0, pdu.length + 1, unit, ...pdu),
      reply: frame =>
        frame[0] === number[0] && frame[1] === number[1] && frame[6] === unit
          ? readReply(frame.subarray(HEADER_BYTES), count)
          : null,
    };
  },
};
