/**
 * Published check values: the checksum of the nine ASCII characters 123456789. Parameters and values as in the catalogue of
 * parametrised CRC algorithms (G. Cook, reveng.sourceforge.io/crc-catalogue), written from memory; the rows of MODBUS and
 * SMBUS were read in the crate crc-catalog 2.5 (docs.rs). `reflected` holds for in and out.
 */
import { table } from './table.ts';

export interface CrcRow {
  name: string;
  width: number;
  poly: string;
  init: string;
  reflected: 'yes' | 'no';
  xorOut: string;
  check: string;
}

export const CRC_CHECKS = table<CrcRow>(`
name              width poly        init        reflected xorOut      check
CRC-5/USB         5     x05         x1F         yes       x1F         x19
CRC-7/MMC         7     x09         x00         no        x00         x75
CRC-8/SMBUS       8     x07         x00         no        x00         xF4
CRC-8/MAXIM-DOW   8     x31         x00         yes       x00         xA1
CRC-8/NRSC-5      8     x31         xFF         no        x00         xF7
CRC-8/SAE-J1850   8     x1D         xFF         no        xFF         x4B
CRC-8/ROHC        8     x07         xFF         yes       x00         xD0
CRC-8/DVB-S2      8     xD5         x00         no        x00         xBC
CRC-8/AUTOSAR     8     x2F         xFF         no        xFF         xDF
CRC-16/MODBUS     16    x8005       xFFFF       yes       x0000       x4B37
CRC-16/ARC        16    x8005       x0000       yes       x0000       xBB3D
CRC-16/USB        16    x8005       xFFFF       yes       xFFFF       xB4C8
CRC-16/MAXIM-DOW  16    x8005       x0000       yes       xFFFF       x44C2
CRC-16/UMTS       16    x8005       x0000       no        x0000       xFEE8
CRC-16/IBM-3740   16    x1021       xFFFF       no        x0000       x29B1
CRC-16/XMODEM     16    x1021       x0000       no        x0000       x31C3
CRC-16/KERMIT     16    x1021       x0000       yes       x0000       x2189
CRC-16/IBM-SDLC   16    x1021       xFFFF       yes       xFFFF       x906E
CRC-16/GENIBUS    16    x1021       xFFFF       no        xFFFF       xD64E
CRC-16/MCRF4XX    16    x1021       xFFFF       yes       x0000       x6F91
CRC-16/DNP        16    x3D65       x0000       yes       xFFFF       xEA82
CRC-16/EN-13757   16    x3D65       x0000       no        xFFFF       xC2B7
CRC-16/T10-DIF    16    x8BB7       x0000       no        x0000       xD0DB
CRC-24/OPENPGP    24    x864CFB     xB704CE     no        x000000     x21CF02
CRC-24/BLE        24    x00065B     x555555     yes       x000000     xC25A56
CRC-32/ISO-HDLC   32    x04C11DB7   xFFFFFFFF   yes       xFFFFFFFF   xCBF43926
CRC-32/BZIP2      32    x04C11DB7   xFFFFFFFF   no        xFFFFFFFF   xFC891918
CRC-32/ISCSI      32    x1EDC6F41   xFFFFFFFF   yes       xFFFFFFFF   xE3069283
CRC-32/MPEG-2     32    x04C11DB7   xFFFFFFFF   no        x00000000   x0376E6E7
CRC-32/CKSUM      32    x04C11DB7   x00000000   no        xFFFFFFFF   x765E7680
CRC-32/AUTOSAR    32    xF4ACFB13   xFFFFFFFF   yes       xFFFFFFFF   x1697D06A
`);

/** Which of the kit's own models is which row. */
export const KIT_CRCS = {
  smbus8: 'CRC-8/SMBUS',
  maxim8: 'CRC-8/MAXIM-DOW',
  nrsc8: 'CRC-8/NRSC-5',
  j1850: 'CRC-8/SAE-J1850',
  modbus: 'CRC-16/MODBUS',
  arc: 'CRC-16/ARC',
  usb: 'CRC-16/USB',
  maxim16: 'CRC-16/MAXIM-DOW',
  ccittFalse: 'CRC-16/IBM-3740',
  xmodem: 'CRC-16/XMODEM',
  kermit: 'CRC-16/KERMIT',
  x25: 'CRC-16/IBM-SDLC',
  dnp: 'CRC-16/DNP',
  ble24: 'CRC-24/BLE',
  crc32: 'CRC-32/ISO-HDLC',
  crc32c: 'CRC-32/ISCSI',
  mpeg2: 'CRC-32/MPEG-2',
} as const;

/**
 * Sums. The first two by hand: 0x31 + … + 0x39 = 477 = 0x1DD; the XOR of 1 to 8 cancels to 8 and leaves 0x31.
 * NMEA 0183: the checksum at the end of a published example sentence (from memory). Fletcher: the three published
 * test vectors of the 16-bit sum (from memory).
 */
export const SUM_CHECKS = {
  sum8: [['123456789', 0xdd]],
  sum16: [['123456789', 0x1dd]],
  inverted8: [['123456789', 0x22]],
  lrc8: [['123456789', 0x23]],
  xor8: [
    ['123456789', 0x31],
    ['GPGLL,5300.97914,N,00259.98174,E,125926,A', 0x28],
  ],
  fletcher16: [
    ['abcde', 0xc8f0],
    ['abcdef', 0x2057],
    ['abcdefgh', 0x0627],
  ],
} as const;
