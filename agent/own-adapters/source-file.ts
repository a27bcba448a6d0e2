/** The files of the owner's folder: text of at most 256 KiB each, named by the hash of their bytes. */
import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';

export interface SourceFile {
  /** In its folder. */
  readonly name: string;
  readonly contents: string;
  /** Of its bytes, as `sha256sum` prints it. */
  readonly sha256: string;
}

/** A file that cannot be an adapter, and why. */
export interface UnreadableFile {
  readonly name: string;
  readonly fault: string;
}

const MAX_BYTES = 262_144;

const isAdapterName = (name: string): boolean =>
  /\.(ts|js|mjs)$/.test(name) && !name.endsWith('.d.ts') && !name.startsWith('.');

const codeOf = (cause: unknown): string => {
  const { code } = cause as NodeJS.ErrnoException;
  if (typeof code === 'string') return code;
  throw cause;
};

/** Names of the files that may hold an adapter, sorted; null where there is no such folder or it cannot be listed. */
export function listFolder(folder: string): string[] | null {
  try {
    return readdirSync(folder).filter(isAdapterName).sort();
  } catch (cause) {
    codeOf(cause);
    return null;
  }
}

/** Changes whenever the file does, without reading it; '' where it is gone. */
export function stampOf(place: string): string {
  try {
    const { mtimeMs, size, ino } = statSync(place);
    return `${mtimeMs} ${size} ${ino}`;
  } catch (cause) {
    codeOf(cause);
    return '';
  }
}

/** Reads one; a link is followed. */
export function readSource(folder: string, name: string): SourceFile | UnreadableFile {
  const place = join(folder, name);
  try {
    const stat = statSync(place);
    if (!stat.isFile()) return { name, fault: `${name} is no file` };
    if (stat.size > MAX_BYTES) return { name, fault: `${name} has ${stat.size} bytes, at most ${MAX_BYTES}` };
    const bytes = readFileSync(place);
    return { name, contents: bytes.toString('utf8'), sha256: createHash('sha256').update(bytes).digest('hex') };
  } catch (cause) {
    return { name, fault: `${name} cannot be read (${codeOf(cause)})` };
  }
}
