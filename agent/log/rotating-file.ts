/**
 * Appends lines to a file of bounded size: when it is full it becomes `.1`, what was `.1` becomes `.2`, and the oldest
 * goes. Never throws: a full or vanished disk costs lines, not the agent; they are counted, and the file is tried
 * again with every line.
 */
import { closeSync, fstatSync, mkdirSync, openSync, renameSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';

export interface RotatingFile {
  /** Writes one line; its newline is added here. False where it could not be written. */
  append(line: string): boolean;
  close(): void;
}

/**
 * @param path of the file being written; the older ones lie beside it
 * @param maxBytes of each file
 * @param keep files in all, the current one included; at least 1
 */
export function openRotatingFile(path: string, maxBytes: number, keep: number): RotatingFile {
  let fd: number | null = null;
  let bytes = 0;
  /** The last write stopped in the middle of a line. */
  let isTorn = false;

  const open = (): number => {
    mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
    fd = openSync(path, 'a', 0o600);
    bytes = fstatSync(fd).size;
    return fd;
  };
  const close = (): void => {
    if (fd === null) return;
    const old = fd;
    fd = null;
    closeSync(old);
  };
  const rotate = (): void => {
    close();
    for (let age = keep - 1; age >= 1; age--) {
      renameIfThere(age === 1 ? path : `${path}.${age - 1}`, `${path}.${age}`);
    }
  };
  const write = (line: string): void => {
    const text = Buffer.from(`${isTorn ? '\n' : ''}${line}\n`);
    let current = fd ?? open();
    if (bytes > 0 && bytes + text.length > maxBytes && keep > 1) {
      rotate();
      current = open();
    }
    const written = writeSync(current, text);
    bytes += written;
    isTorn = written < text.length;
    if (isTorn) throw new Error('the disk took only a part of the line');
  };
  return {
    append(line) {
      try {
        write(line);
        return true;
      } catch {
        // Telling of it is what just failed: the caller counts the line and says so when it can again.
        closeQuietly(close);
        return false;
      }
    },
    close: () => closeQuietly(close),
  };
}

function renameIfThere(from: string, to: string): void {
  try {
    renameSync(from, to);
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code !== 'ENOENT') throw cause;
  }
}

/** A descriptor that cannot even be closed is given up: the next line opens a new one. */
function closeQuietly(close: () => void): boolean {
  try {
    close();
    return true;
  } catch {
    return false;
  }
}
