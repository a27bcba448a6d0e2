/**
 * Answers kept as files beside the record: bounded in number and size, those used longest ago go first. Each begins with
 * the SHA-256 of what follows and is checked before anything of it is given, so one that is torn or rotten is none. All of
 * them may be lost at any time; a disk that takes none keeps none.
 */
import { createHash } from 'node:crypto';
import { type FileHandle, mkdir, open, readdir, rename, rm, stat, utimes } from 'node:fs/promises';
import { join } from 'node:path';

export interface KeptLimits {
  readonly files: number;
  readonly bytes: number;
}

export const KEPT_LIMITS: KeptLimits = { files: 24, bytes: 48 * 1024 * 1024 };

export interface KeptFiles {
  /** The answer in pieces; null where it is not kept whole. @param name letters, digits, `-` and `_` */
  read(name: string): Promise<AsyncIterator<Uint8Array> | null>;
  /** Gives the pieces on and keeps them, once the last has come and `still` says that they hold. */
  keeping(name: string, pieces: AsyncIterator<Uint8Array>, still: () => boolean): AsyncIterator<Uint8Array>;
  has(name: string): Promise<boolean>;
}

const PIECE_BYTES = 128 * 1024;
const DIGEST_BYTES = 32;
const ENDING = '.kept';
const PART = /^\d+-\d+\.part$/;
let lastPart = 0;

const quiet = () => undefined;

export function keptFiles(dir: string, limits: KeptLimits = KEPT_LIMITS): KeptFiles {
  const pathOf = (name: string) => join(dir, `${name}${ENDING}`);

  async function read(name: string) {
    const path = pathOf(name);
    const file = await open(path, 'r').catch(() => null);
    if (file === null) return null;
    if (!(await isWhole(file).catch(() => false))) {
      await file.close();
      await rm(path, { force: true }).catch(quiet);
      return null;
    }
    const now = new Date();
    await utimes(path, now, now).catch(quiet);
    return piecesOf(file);
  }

  async function* kept(name: string, pieces: AsyncIterator<Uint8Array>, still: () => boolean) {
    const part = join(dir, `${process.pid}-${++lastPart}.part`);
    let file = await mkdir(dir, { recursive: true, mode: 0o700 })
      .then(() => open(part, 'wx', 0o600))
      .catch(() => null);
    const hash = createHash('sha256');
    let at = DIGEST_BYTES;
    const letGo = async () => {
      await file?.close().catch(quiet);
      file = null;
      await rm(part, { force: true }).catch(quiet);
    };
    try {
      for (let step = await pieces.next(); step.done !== true; step = await pieces.next()) {
        hash.update(step.value);
        await file?.write(step.value, 0, step.value.length, at).catch(letGo);
        at += step.value.length;
        yield step.value;
      }
      if (file !== null && at <= limits.bytes && still()) {
        await file.write(hash.digest(), 0, DIGEST_BYTES, 0);
        await file.datasync();
        await file.close();
        file = null;
        await rename(part, pathOf(name));
        await tidy();
      }
    } catch (error) {
      // What the disk says is nobody's trouble: the answer itself is whole.
      if (!isOfDisk(error)) throw error;
    } finally {
      await letGo();
    }
  }

  /** Takes away what is beyond the limits, and what a process that ended was writing. */
  async function tidy() {
    const names = (await readdir(dir)).filter(name => name.endsWith(ENDING) || PART.test(name));
    const found = await Promise.all(
      names.map(async name => {
        const { size, mtimeMs } = await stat(join(dir, name)).catch(() => ({ size: 0, mtimeMs: 0 }));
        return { name, size, mtimeMs };
      }),
    );
    let [files, bytes] = [0, 0];
    for (const { name, size } of found.sort((a, b) => b.mtimeMs - a.mtimeMs)) {
      const isPart = PART.test(name);
      if (isPart && name.startsWith(`${process.pid}-`)) continue;
      files++;
      bytes += size;
      if (isPart || files > limits.files || bytes > limits.bytes)
        await rm(join(dir, name), { force: true }).catch(quiet);
    }
  }

  function keeping(name: string, pieces: AsyncIterator<Uint8Array>, still: () => boolean) {
    let givenUp = false;
    const steps = kept(name, pieces, () => !givenUp && still());
    return {
      next: () => steps.next(),
      async return() {
        givenUp = true;
        // Also while a piece is waited for, which ends with it.
        await pieces.return?.();
        return steps.return(undefined);
      },
    };
  }

  return { read, keeping, has: async name => (await stat(pathOf(name)).catch(() => null)) !== null };
}

const isOfDisk = (error: unknown): boolean =>
  error instanceof Error && 'syscall' in error && typeof error.syscall === 'string';

/** Goes through the file once, a piece at a time. */
async function isWhole(file: FileHandle): Promise<boolean> {
  const told = Buffer.alloc(DIGEST_BYTES);
  if ((await file.read(told, 0, DIGEST_BYTES, 0)).bytesRead < DIGEST_BYTES) return false;
  const hash = createHash('sha256');
  const piece = Buffer.allocUnsafeSlow(PIECE_BYTES);
  for (let at = DIGEST_BYTES; ; ) {
    const { bytesRead } = await file.read(piece, 0, PIECE_BYTES, at);
    if (bytesRead === 0) return at > DIGEST_BYTES && hash.digest().equals(told);
    hash.update(piece.subarray(0, bytesRead));
    at += bytesRead;
  }
}

async function* piecesOf(file: FileHandle): AsyncGenerator<Uint8Array, undefined> {
  try {
    for (let at = DIGEST_BYTES; ; ) {
      const piece = Buffer.allocUnsafeSlow(PIECE_BYTES);
      const { bytesRead } = await file.read(piece, 0, PIECE_BYTES, at);
      if (bytesRead === 0) return;
      at += bytesRead;
      yield piece.subarray(0, bytesRead);
    }
  } finally {
    await file.close();
  }
}
