/**
 * What is kept of sharing, as a small file in the data folder for its owner alone: sessions by their hash, wrong tries,
 * and the part of the cookie's name that tells two agents on one computer apart. No secret stands in it.
 */
import { mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import { dirname } from 'node:path';
import * as v from 'valibot';
import { SCOPES } from '#messages';
import type { Failure } from './pairing.ts';
import { newId } from './secrets.ts';
import type { Session } from './sessions.ts';

const instant = v.pipe(v.number(), v.integer(), v.minValue(0));
const Kept = v.object({
  instance: v.pipe(v.string(), v.regex(/^[0-9a-f]{8}$/)),
  failures: v.pipe(v.array(v.object({ address: v.string(), at: instant })), v.maxLength(1000)),
  sessions: v.pipe(
    v.array(
      v.object({
        id: v.string(),
        kind: v.picklist(['browser', 'script']),
        name: v.string(),
        scope: v.picklist(SCOPES),
        here: v.boolean(),
        sha256: v.pipe(v.string(), v.regex(/^[0-9a-f]{64}$/)),
        madeAt: instant,
        lastSeenAt: instant,
        lastAddress: v.string(),
      }),
    ),
    v.maxLength(1000),
  ),
});

export interface SharingKept {
  readonly instance: string;
  readonly failures: readonly Failure[];
  readonly sessions: readonly Session[];
}

/** A file that is missing or damaged lets nobody in: everyone is paired anew. */
export function readSharing(path: string): SharingKept {
  const nothing = { instance: newId(), failures: [], sessions: [] };
  const text = readText(path);
  if (text === null) return nothing;
  const parsed = v.safeParse(Kept, parse(text));
  if (!parsed.success) return nothing;
  const { instance, failures, sessions } = parsed.output;
  return {
    instance,
    failures,
    sessions: sessions.map(({ sha256, ...rest }) => ({ ...rest, digest: Buffer.from(sha256, 'hex') })),
  };
}

/** Replaces the file in one step. */
export function writeSharing(path: string, { instance, failures, sessions }: SharingKept): void {
  const kept = sessions.map(({ digest, ...rest }) => ({ ...rest, sha256: digest.toString('hex') }));
  writePrivate(path, `${JSON.stringify({ instance, failures, sessions: kept }, null, 2)}\n`);
}

/** A file that its owner alone may read, whatever the mask of this process. On the disk once this returns. */
export function writePrivate(path: string, text: string): void {
  mkdirSync(dirname(path), { recursive: true, mode: 0o700 });
  const fresh = `${path}.${process.pid}`;
  try {
    writeFileSync(fresh, text, { mode: 0o600, flush: true });
    renameSync(fresh, path);
  } catch (cause) {
    rmSync(fresh, { force: true });
    throw cause;
  }
}

/** Does something on the disk; the system's word for what hinders it, null where it was done. */
export function hindered(act: () => void): string | null {
  try {
    act();
    return null;
  } catch (cause) {
    const { code } = cause as NodeJS.ErrnoException;
    if (typeof code !== 'string') throw cause;
    return code;
  }
}

/** null where it cannot be read. */
export function readText(path: string): string | null {
  try {
    return readFileSync(path, 'utf8');
  } catch (cause) {
    if (typeof (cause as NodeJS.ErrnoException).code === 'string') return null;
    throw cause;
  }
}

export function parse(text: string): unknown {
  try {
    return JSON.parse(text);
  } catch (cause) {
    // JSON.parse tells bad input only by throwing SyntaxError.
    if (cause instanceof SyntaxError) return null;
    throw cause;
  }
}
