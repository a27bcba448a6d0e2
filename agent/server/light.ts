/**
 * The light the owner chose travels in a cookie, and the shell is sent in it: a page that had to look it up first would
 * paint later, or flash white at night. It says nothing of anybody, so it is read before any session.
 */
import { brotliCompressSync } from 'node:zlib';

const LIGHTS = ['day', 'glare', 'night'] as const;
export type Light = (typeof LIGHTS)[number];

/** Shared with `web/state/light-cookie`. */
const COOKIE = 'wattkeep.light';
const ROOT = '<html lang="en"';

/** The chosen light; null where none was chosen, or none that there is. */
export function lightAsked(cookieHeader: string | undefined): Light | null {
  for (const pair of (cookieHeader ?? '').split(';')) {
    const [name, value] = pair.split('=', 2);
    if (name!.trim() === COOKIE) return LIGHTS.find(light => light === value?.trim()) ?? null;
  }
  return null;
}

/** A shell in a light, plain and compressed. @param shell a page whose root element names its language */
export function inLight(shell: Buffer, light: Light): { plain: Buffer; br: Buffer } {
  const plain = Buffer.from(shell.toString().replace(ROOT, `${ROOT} data-light="${light}"`));
  return { plain, br: brotliCompressSync(plain) };
}
