/**
 * Messages before and after stuffing, hex. SLIP: worked by hand from the four codes of RFC 1055 (END C0, ESC DB, DB DC for C0,
 * DB DD for DB). COBS: from the rules of Cheshire and Baker 1999; the rows are the ones commonly printed (from memory).
 */
export const SLIP: readonly (readonly [string, string])[] = [
  ['01 02', 'c0 01 02 c0'],
  ['c0', 'c0 db dc c0'],
  ['db', 'c0 db dd c0'],
  ['db dc c0 dd', 'c0 db dd dc db dc dd c0'],
];

const run = (from: number, to: number): string =>
  Array.from({ length: to - from + 1 }, (_, i) => (from + i).toString(16).padStart(2, '0')).join(' ');

export const COBS: readonly (readonly [string, string])[] = [
  ['00', '01 01 00'],
  ['00 00', '01 01 01 00'],
  ['00 11 00', '01 02 11 01 00'],
  ['11 22 00 33', '03 11 22 02 33 00'],
  ['11 22 33 44', '05 11 22 33 44 00'],
  ['11 00 00 00', '02 11 01 01 01 00'],
  [run(0x01, 0xfe), `ff ${run(0x01, 0xfe)} 00`],
  [`00 ${run(0x01, 0xfe)}`, `01 ff ${run(0x01, 0xfe)} 00`],
  [run(0x01, 0xff), `ff ${run(0x01, 0xfe)} 02 ff 00`],
  [`${run(0x02, 0xff)} 00`, `ff ${run(0x02, 0xff)} 01 01 00`],
  [`${run(0x03, 0xff)} 00 01`, `fe ${run(0x03, 0xff)} 02 01 00`],
];
