/**
 * Modbus RTU: unit, data unit, CRC-16/MODBUS low byte first (MODBUS over Serial Line V1.02, sections 2.2 and 2.5.1).
 * Replies are cut by their own length and checksum, not by silence alone: what arrives through a USB adapter comes in
 * pieces. A question has no number, so who asks must see to it that a late reply is not taken for the next one.
 */
import { CRC, createCrc, createScanFramer, type Trailer, trailerHolds, withTrailer } from '#kit';
import { readRegisters, readReply, replyBytes } from './pdu.ts';
import type { Wire } from './wire.ts';

const TRAILER: Trailer = { checksum: createCrc(CRC.modbus), bytes: 2 };
const MAX_FRAME_BYTES = 256;
const UNIT_BYTES = 1;
/** Longer than any pause that a driver, a USB adapter or a busy computer makes within a reply. */
const IDLE_MS = 500;
/** 3.5 characters at 2400 baud are 16 ms; the adapter is not told the speed. */
const QUIET_MS = 20;

export const rtu: Wire = {
  maxFrameBytes: MAX_FRAME_BYTES,
  requests: [{ name: 'read holding registers', bytes: '.. 03 .. .. 00 .. .. ..' }],
  // Unit 0 would speak to all at once.
  units: [1, 126, 2, 3, 4, 5, 247],
  numbered: false,
  quietMs: QUIET_MS,
  createFramer: () =>
    createScanFramer({
      maxFrameBytes: MAX_FRAME_BYTES,
      headBytes: 3,
      frameBytes: ([, functionCode = 0, second = 0]) => {
        const bytes = replyBytes(functionCode, second);
        return bytes === 0 ? 0 : UNIT_BYTES + bytes + TRAILER.bytes;
      },
      holds: frame => trailerHolds(frame, TRAILER),
      idleMs: IDLE_MS,
    }),
  question: (_turn, unit, address, count) => ({
    send: withTrailer([unit, ...readRegisters(address, count)], TRAILER),
    reply: frame =>
      frame[0] === unit && trailerHolds(frame, TRAILER)
        ? readReply(frame.subarray(UNIT_BYTES, frame.length - TRAILER.bytes), count)
        : null,
  }),
};
