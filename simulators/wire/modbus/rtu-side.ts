/**
 * The device's end of a Modbus RTU line: a request is what lies between two silences of 3.5 characters (MODBUS over
 * Serial Line V1.02, section 2.5.1.1); one with a wrong checksum or for another unit is met with silence. The reply
 * leaves once the request would have been through the line at its speed, after another such silence.
 */
import type { Timing } from '../cable.ts';
import { crc16 } from './crc16.ts';

const BITS_A_CHARACTER = 10;
/** Above 19 200 baud the silence is fixed. */
const FIXED_SILENCE_MS = 1.75;
const FIXED_ABOVE_BAUD = 19_200;
const MAX_REQUEST_BYTES = 256;

export interface RtuOptions {
  readonly unit: number;
  /** 0: a line without a speed. */
  readonly baud: number;
  readonly timing: Timing;
  readonly answer: (pdu: Uint8Array) => Uint8Array;
}

export const characterMs = (baud: number): number => (baud === 0 ? 0 : (BITS_A_CHARACTER * 1000) / baud);
export const silenceMs = (baud: number): number =>
  baud > FIXED_ABOVE_BAUD || baud === 0 ? FIXED_SILENCE_MS : 3.5 * characterMs(baud);

/** Unit, data unit, checksum with its low byte first. */
export function rtuFrame(unit: number, pdu: Uint8Array): Uint8Array {
  const frame = new Uint8Array(pdu.length + 3);
  frame[0] = unit;
  frame.set(pdu, 1);
  const sum = crc16(frame.subarray(0, -2));
  frame[frame.length - 2] = sum & 0xff;
  frame[frame.length - 1] = sum >> 8;
  return frame;
}

/** Takes what comes off the line and gives whole replies to `send`. */
export function rtuSide(options: RtuOptions, send: (frame: Uint8Array) => void): (bytes: Uint8Array) => void {
  const { unit, baud, timing, answer } = options;
  let held: number[] = [];
  let cancel = (): void => undefined;

  const onSilence = (): void => {
    const frame = Uint8Array.from(held);
    held = [];
    // Whole with its checksum, a frame's CRC is zero.
    if (frame.length < 4 || crc16(frame) !== 0 || frame[0] !== unit) return;
    const reply = rtuFrame(unit, answer(frame.subarray(1, -2)));
    timing.after(frame.length * characterMs(baud), () => send(reply));
  };
  return bytes => {
    cancel();
    if (held.length + bytes.length <= MAX_REQUEST_BYTES) held.push(...bytes);
    cancel = timing.after(silenceMs(baud), onSilence);
  };
}
