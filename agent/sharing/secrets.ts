/**
 * Secrets: how they are made, and how one that was sent is held against one that is known. What is kept is a SHA-256
 * (ASVS 5.0 allows a plain hash above 112 bits); two of them are compared in a time that does not depend on where they
 * differ. Code alphabet: Crockford's base32, which has no I, L, O and U.
 */
import { createHash, randomBytes, timingSafeEqual } from 'node:crypto';

/** 256 bits: a session's. */
export const newSessionToken = (): string => randomBytes(32).toString('base64url');
/** 128 bits: a link's, or of one who waits. */
export const newLinkToken = (): string => randomBytes(16).toString('base64url');
/** A public name; it opens nothing. */
export const newId = (): string => randomBytes(4).toString('hex');

const ALPHABET = '0123456789ABCDEFGHJKMNPQRSTVWXYZ';
const CODE_LENGTH = 8;

/** 40 bits, to be typed. */
export const newCode = (): string =>
  Array.from(randomBytes(CODE_LENGTH), byte => ALPHABET[byte % ALPHABET.length]).join('');

/** The code as it is read aloud: in two groups. */
export const spelled = (code: string): string => `${code.slice(0, 4)}-${code.slice(4)}`;

/** What was typed as the code it stands for: letters that look like digits are taken for them, gaps do not count. */
export const meantCode = (typed: string): string =>
  typed.toUpperCase().replace(/[\s-]/g, '').replaceAll('O', '0').replace(/[IL]/g, '1');

export type Digest = Buffer;
export const digestOf = (secret: string): Digest => createHash('sha256').update(secret).digest();

/** Both are whole digests, so their lengths tell nothing. */
export const isSame = (a: Digest, b: Digest): boolean => timingSafeEqual(a, b);

/** The first of `known` with this digest; each is compared, wherever it is found. */
export function findSame<T>(known: readonly T[], digest: Digest, of: (one: T) => Digest): T | null {
  let found: T | null = null;
  for (const one of known) if (isSame(of(one), digest) && found === null) found = one;
  return found;
}
