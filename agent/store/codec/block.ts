/**
 * The wrapping of every stored block: one version byte, a CRC-32 (zlib's) over all that follows, the fingerprint of
 * the layout it was written with, the length of its content, and the content deflated raw. SQLite keeps no checksum
 * over ordinary content: a flipped bit must give an error here, never another number.
 */
import { crc32, deflateRawSync, inflateRawSync } from 'node:zlib';
import { CodecError } from './varint.ts';

export const BLOCK_VERSION = 1;
/** version 1, crc 4, fingerprint 4, content length 4 */
const HEADER_BYTES = 13;
const CONTENT_MAX_BYTES = 64 * 1024 * 1024;

export const fingerprint = (layoutText: string): number => crc32(layoutText);

export function packBlock(content: Uint8Array, layoutText: string, level = 6): Buffer {
  const deflated = deflateRawSync(content, { level });
  const block = Buffer.allocUnsafe(HEADER_BYTES + deflated.length);
  block[0] = BLOCK_VERSION;
  block.writeUInt32LE(fingerprint(layoutText), 5);
  block.writeUInt32LE(content.length, 9);
  deflated.copy(block, HEADER_BYTES);
  block.writeUInt32LE(crc32(block.subarray(5)), 1);
  return block;
}

/** Whether a block passes its own checksum; its content is not looked at. */
export function blockHolds(block: Uint8Array): boolean {
  const bytes = Buffer.from(block.buffer, block.byteOffset, block.byteLength);
  return bytes.length >= HEADER_BYTES && bytes.readUInt32LE(1) === crc32(bytes.subarray(5));
}

/** Throws CodecError where the bytes are not what was packed, or belong to another layout. */
export function unpackBlock(block: Uint8Array, layoutText: string): Uint8Array {
  const bytes = Buffer.from(block.buffer, block.byteOffset, block.byteLength);
  if (bytes.length < HEADER_BYTES) throw new CodecError('the block is too short');
  if (bytes[0] !== BLOCK_VERSION) throw new CodecError(`the block has format ${bytes[0]}, not ${BLOCK_VERSION}`);
  if (bytes.readUInt32LE(1) !== crc32(bytes.subarray(5))) throw new CodecError('the block fails its checksum');
  if (bytes.readUInt32LE(5) !== fingerprint(layoutText)) throw new CodecError('the block has another layout');
  const length = bytes.readUInt32LE(9);
  if (length > CONTENT_MAX_BYTES) throw new CodecError('the block is too large');
  let content: Uint8Array;
  try {
    content = inflateRawSync(bytes.subarray(HEADER_BYTES), { maxOutputLength: Math.max(1, length) });
  } catch (cause) {
    throw new CodecError('the block does not inflate', { cause });
  }
  if (content.length !== length) throw new CodecError('the block inflates to another length');
  return content;
}
