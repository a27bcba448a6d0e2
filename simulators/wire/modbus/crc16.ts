/**
 * CRC-16 of Modbus RTU as the specification's text has it, bit by bit: register all ones, each byte into its low half,
 * shifted right, and 0xA001 added where a one falls out (MODBUS over Serial Line V1.02, section 6.2.2). Slow and plain.
 */
export function crc16(bytes: Uint8Array): number {
  let register = 0xffff;
  for (const byte of bytes) {
    register ^= byte;
    for (let bit = 0; bit < 8; bit++) {
      const out = register & 1;
      register >>= 1;
      if (out === 1) register ^= 0xa001;
    }
  }
  return register;
}
