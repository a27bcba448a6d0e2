/**
 * Frames with a length field, and frames that are all of one length. Both search on byte by byte after noise.
 */
import type { Framer } from '../adapter.ts';
import { createScanFramer, type ScanOptions } from './scan.ts';

type Shared = Pick<ScanOptions, 'start' | 'holds' | 'idleMs'>;

export interface LengthFieldOptions extends Shared {
  readonly maxFrameBytes: number;
  /** Where the length stands, bytes from the front of the frame. */
  readonly lengthAt: number;
  /** Bytes of the length. Default 1. */
  readonly lengthBytes?: 1 | 2 | 4;
  /** Default: low byte first. */
  readonly bigEndian?: true;
  /** Whole frame = what the field says + this: the bytes it does not count (start, itself, checksum). Default 0. */
  readonly adjust?: number;
}

export function createLengthFieldFramer(options: LengthFieldOptions): Framer {
  const { lengthAt, lengthBytes = 1, bigEndian, adjust = 0, ...scan } = options;
  const frameBytes = (head: Uint8Array): number => {
    let value = 0;
    for (let i = 0; i < lengthBytes; i++) {
      value = value * 256 + head[lengthAt + (bigEndian === true ? i : lengthBytes - 1 - i)]!;
    }
    return value + adjust;
  };
  return createScanFramer({ ...scan, headBytes: lengthAt + lengthBytes, frameBytes });
}

export interface FixedLengthOptions extends Shared {
  /** Bytes of every frame. Without `start` or `holds` only a silence can put a shifted stream right. */
  readonly bytes: number;
}

export function createFixedLengthFramer({ bytes, ...scan }: FixedLengthOptions): Framer {
  return createScanFramer({ ...scan, maxFrameBytes: bytes, headBytes: 1, frameBytes: () => bytes });
}
