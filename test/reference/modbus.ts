/**
 * Examples of the Modbus specifications, from memory: MODBUS Application Protocol V1.1b3, section 6.3 (a read of
 * registers 108 to 110) and section 7 (an exception); MODBUS over Serial Line V1.02, section 6.2.2 (a CRC and the order
 * of its bytes). The check value of CRC-16/MODBUS over "123456789" is that of the published CRC catalogues.
 */
export const READ_EXAMPLE = {
  address: 0x006b,
  count: 3,
  request: [0x03, 0x00, 0x6b, 0x00, 0x03],
  reply: [0x03, 0x06, 0x02, 0x2b, 0x00, 0x00, 0x00, 0x64],
  registers: [0x022b, 0x0000, 0x0064],
} as const;

/** Function 01 asked at an address the device does not have: exception 2. */
export const EXCEPTION_EXAMPLE = { request: [0x01, 0x04, 0xa1, 0x00, 0x01], reply: [0x81, 0x02] } as const;

export const CRC_EXAMPLE = { message: [0x02, 0x07], sent: [0x41, 0x12] } as const;
export const CRC_CHECK = { text: '123456789', value: 0x4b37 } as const;
