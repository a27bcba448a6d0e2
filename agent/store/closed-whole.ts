/**
 * What a record was when it was last closed in order: its size and a checksum over all of it, in a file beside it. One that
 * is still so needs no check of its structure as it is opened, which takes twenty times as long and notices less: SQLite
 * keeps no checksum of its own. Read before SQLite opens the file, written once it has let go of it.
 */
import { closeSync, openSync, readFileSync, readSync, statSync, writeFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { crc32 } from 'node:zlib';

/** Read at a time; what an agent reads once stays part of its memory. */
const PIECE_BYTES = 64 * 1024;

const notePath = (path: string): string => join(dirname(path), 'closed.txt');

/** Size in bytes and CRC-32 (ISO 3309) of a file. Throws what the system says. */
function stateOf(path: string): string {
  const file = openSync(path, 'r');
  try {
    const piece = Buffer.alloc(PIECE_BYTES);
    let [bytes, sum] = [0, 0];
    for (;;) {
      const read = readSync(file, piece, 0, piece.length, null);
      if (read === 0) return `${bytes} bytes, crc32 ${sum.toString(16).padStart(8, '0')}\n`;
      bytes += read;
      sum = crc32(piece.subarray(0, read), sum);
    }
  } finally {
    closeSync(file);
  }
}

/** Of a record that was just closed, its log written back. Where it cannot be noted the next start checks, as after a crash. */
export function noteClosed(path: string): void {
  try {
    writeFileSync(notePath(path), stateOf(path), { mode: 0o600 });
  } catch {
    // A full or failing disk was told already by what did not get saved.
  }
}

/** True where the file holds byte for byte what it held when it was closed, and no log beside it holds more. */
export function isAsClosed(path: string): boolean {
  try {
    if ((statSync(`${path}-wal`, { throwIfNoEntry: false })?.size ?? 0) > 0) return false;
    return readFileSync(notePath(path), 'utf8') === stateOf(path);
  } catch {
    return false;
  }
}
