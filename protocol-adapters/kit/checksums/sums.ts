/**
 * The plain sums of small devices. All take whole bytes and give an unsigned number.
 */
import type { Checksum } from './crc.ts';

const total: Checksum = bytes => bytes.reduce((sum, byte) => (sum + byte) % 0x1_0000_0000, 0);

/** Sum of the bytes, lowest 8 bits. */
export const sum8: Checksum = bytes => total(bytes) & 0xff;
/** Sum of the bytes, lowest 16 bits. */
export const sum16: Checksum = bytes => total(bytes) & 0xffff;
/** All bits of `sum8` turned over. */
export const inverted8: Checksum = bytes => ~total(bytes) & 0xff;
/** What makes the sum of all bytes 0: the longitudinal check of Modbus ASCII, of Intel hex lines and many others. */
export const lrc8: Checksum = bytes => -total(bytes) & 0xff;
/** XOR of the bytes, as in NMEA 0183. */
export const xor8: Checksum = bytes => bytes.reduce((sum, byte) => sum ^ byte, 0);

/** Fletcher's 16-bit checksum modulo 255 (RFC 1146, appendix I): the sum of sums in the high byte. */
export const fletcher16: Checksum = bytes => {
  let sum = 0;
  let sums = 0;
  for (const byte of bytes) {
    sum = (sum + byte) % 255;
    sums = (sums + sum) % 255;
  }
  return sums * 256 + sum;
};
