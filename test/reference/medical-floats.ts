/**
 * Floats with a power of ten, ISO/IEEE 11073-20601. `published`: examples of the HL7 Personal Health Device implementation guide
 * ("Mder FLOATs and SFLOATs"), raw value and the number it stands for. `byHand`: the formula value = mantissa × 10^exponent.
 */
export const PUBLISHED_16: readonly (readonly [number, number])[] = [
  [0x0002, 2],
  [0xf014, 2],
  [0xe0c8, 2],
  [0x1002, 20],
  [0x2002, 200],
  [0x00c8, 200],
  [0x04d2, 1234],
  [0x0b2e, -1234],
];

export const PUBLISHED_32: readonly (readonly [number, number])[] = [
  [0x00000002, 2],
  [0xff000014, 2],
  [0xfe0000c8, 2],
  [0x01000002, 20],
  [0x02000002, 200],
  [0x000000c8, 200],
  [0x000004d2, 1234],
  [0x00fffb2e, -1234],
];

/**
 * 1.37 = 137 × 10^-2: mantissa 137 = 089, exponent -2 = E in four bits. 1.024 = 1024 × 10^-3: 400, D. -36.5 = -365 × 10^-1:
 * 4096 - 365 = 3731 = E93, F. 2047 is the largest mantissa and no number only where the exponent is 0: F7FF = 204.7.
 * 0.0512 = 512 × 10^-4 = C200. 8 × 10^-8: 8008. 2046 × 10^7 = 77FE.
 */
export const BY_HAND_16: readonly (readonly [number, number])[] = [
  [0xe089, 1.37],
  [0xd400, 1.024],
  [0xfe93, -36.5],
  [0xf7ff, 204.7],
  [0xc200, 0.0512],
  [0x8008, 0.00000008],
  [0x77fe, 20_460_000_000],
  [0x0000, 0],
];

/** Reserved values of the standard: from memory, and as three open decoders have them. null: not a number. */
export const SPECIAL_16: readonly (readonly [number, number | null])[] = [
  [0x07ff, null],
  [0x0800, null],
  [0x0801, null],
  [0x07fe, Number.POSITIVE_INFINITY],
  [0x0802, Number.NEGATIVE_INFINITY],
];
export const SPECIAL_32: readonly (readonly [number, number | null])[] = [
  [0x007fffff, null],
  [0x00800000, null],
  [0x00800001, null],
  [0x007ffffe, Number.POSITIVE_INFINITY],
  [0x00800002, Number.NEGATIVE_INFINITY],
];
