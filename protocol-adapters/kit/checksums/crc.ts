/**
 * Cyclic redundancy checks of any width from 3 to 32 bits, described the way the trade describes them: width,
 * polynomial, start value, reflection in and out, final XOR (R. Williams, "A painless guide to CRC error detection
 * algorithms", 1993, section 15, the "Rocksoft model").
 */

/** Gives an unsigned number of the checksum's width. */
export type Checksum = (bytes: Uint8Array) => number;

export interface CrcModel {
  /** Bits, 3 to 32. */
  readonly width: number;
  /** Without its highest bit, written with the highest power first. */
  readonly poly: number;
  readonly init: number;
  /** Bytes go in lowest bit first. */
  readonly reflectIn: boolean;
  readonly reflectOut: boolean;
  readonly xorOut: number;
}

const model = (width: number, poly: number, init: number, reflected: boolean, xorOut: number): CrcModel => ({
  width,
  poly,
  init,
  reflectIn: reflected,
  reflectOut: reflected,
  xorOut,
});

/** Those that devices use most; the key says what the catalogues call them. Any other is a model of its own. */
export const CRC = {
  /** CRC-8/SMBUS, also called just CRC-8. */
  smbus8: model(8, 0x07, 0x00, false, 0x00),
  /** CRC-8/MAXIM-DOW, the one of 1-Wire. */
  maxim8: model(8, 0x31, 0x00, true, 0x00),
  /** CRC-8/NRSC-5, common in air sensors. */
  nrsc8: model(8, 0x31, 0xff, false, 0x00),
  /** CRC-8/SAE-J1850. */
  j1850: model(8, 0x1d, 0xff, false, 0xff),
  /** CRC-16/MODBUS; sent low byte first. */
  modbus: model(16, 0x8005, 0xffff, true, 0x0000),
  /** CRC-16/ARC, also called CRC-16 or CRC-16-IBM. */
  arc: model(16, 0x8005, 0x0000, true, 0x0000),
  /** CRC-16/USB. */
  usb: model(16, 0x8005, 0xffff, true, 0xffff),
  /** CRC-16/MAXIM-DOW. */
  maxim16: model(16, 0x8005, 0x0000, true, 0xffff),
  /** CRC-16/IBM-3740, also called CRC-16/CCITT-FALSE. */
  ccittFalse: model(16, 0x1021, 0xffff, false, 0x0000),
  /** CRC-16/XMODEM. */
  xmodem: model(16, 0x1021, 0x0000, false, 0x0000),
  /** CRC-16/KERMIT, the true CCITT. */
  kermit: model(16, 0x1021, 0x0000, true, 0x0000),
  /** CRC-16/IBM-SDLC, also called X-25 or HDLC. */
  x25: model(16, 0x1021, 0xffff, true, 0xffff),
  /** CRC-16/DNP. */
  dnp: model(16, 0x3d65, 0x0000, true, 0xffff),
  /** CRC-24/BLE. */
  ble24: model(24, 0x00065b, 0x555555, true, 0x000000),
  /** CRC-32/ISO-HDLC, the one of Ethernet and zip. */
  crc32: model(32, 0x04c11db7, 0xffffffff, true, 0xffffffff),
  /** CRC-32/ISCSI, also called CRC-32C. */
  crc32c: model(32, 0x1edc6f41, 0xffffffff, true, 0xffffffff),
  /** CRC-32/MPEG-2. */
  mpeg2: model(32, 0x04c11db7, 0xffffffff, false, 0x00000000),
} as const satisfies Record<string, CrcModel>;

const REGISTER_BITS = 32;

/** The lowest `bits` of `value`, in the other order. */
function reflect(value: number, bits: number): number {
  let turned = 0;
  for (let i = 0; i < bits; i++) if ((value >>> i) & 1) turned |= 1 << (bits - 1 - i);
  return turned >>> 0;
}

/** What each byte does to a register whose lowest bit leaves first. */
function reflectedTable({ width, poly }: CrcModel): Uint32Array {
  const turned = reflect(poly, width);
  return Uint32Array.from({ length: 256 }, (_, byte) => {
    let register = byte;
    for (let bit = 0; bit < 8; bit++) register = register & 1 ? (register >>> 1) ^ turned : register >>> 1;
    return register;
  });
}

/** The same for one whose highest bit leaves first; registers stand at the left of 32 bits, whatever their width. */
function straightTable({ width, poly }: CrcModel): Uint32Array {
  const left = poly << (REGISTER_BITS - width);
  return Uint32Array.from({ length: 256 }, (_, byte) => {
    let register = byte << 24;
    for (let bit = 0; bit < 8; bit++) register = register < 0 ? (register << 1) ^ left : register << 1;
    return register >>> 0;
  });
}

/** The checksum a model describes. Throws RangeError for a width that is not 3 to 32. Its table is made once, here. */
export function createCrc(crc: CrcModel): Checksum {
  const { width, init, reflectIn, reflectOut, xorOut } = crc;
  if (!Number.isInteger(width) || width < 3 || width > REGISTER_BITS) throw new RangeError(`a CRC of ${width} bits`);
  const spare = REGISTER_BITS - width;
  const table = reflectIn ? reflectedTable(crc) : straightTable(crc);
  const start = reflectIn ? reflect(init, width) : init << spare;
  return bytes => {
    let register = start;
    if (reflectIn) for (const byte of bytes) register = (register >>> 8) ^ table[(register ^ byte) & 0xff]!;
    else {
      for (const byte of bytes) register = (register << 8) ^ table[(register >>> 24) ^ byte]!;
      register >>>= spare;
    }
    return ((reflectIn === reflectOut ? register : reflect(register, width)) ^ xorOut) >>> 0;
  };
}
