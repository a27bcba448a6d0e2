import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { digestOf, findSame, meantCode, newCode, newLinkToken, newSessionToken } from '../../agent/sharing/secrets.ts';
import { twoWords } from '../../agent/sharing/two-words.ts';
import { sourceFiles } from '../house/rooms.ts';

describe('secrets', () => {
  it('hold 256 bits for a session, 128 for a link, 40 for a code, and never come twice', () => {
    const many = Array.from({ length: 500 }, () => [newSessionToken(), newLinkToken(), newCode()] as const);
    for (const [session, link, code] of many) {
      expect(Buffer.from(session, 'base64url')).toHaveLength(32);
      expect(Buffer.from(link, 'base64url')).toHaveLength(16);
      expect(link).toHaveLength(22);
      expect(code).toMatch(/^[0-9A-HJKMNP-TV-Z]{8}$/);
    }
    expect(new Set(many.flat()).size).toBe(1500);
  });

  it('use every letter of the alphabet for a code alike', () => {
    const counts = new Map<string, number>();
    for (let i = 0; i < 4000; i++) for (const letter of newCode()) counts.set(letter, (counts.get(letter) ?? 0) + 1);
    expect(counts.size).toBe(32);
    // 32,000 letters, 1,000 each: seven standard deviations are 220.
    for (const count of counts.values()) expect(Math.abs(count - 1000)).toBeLessThan(220);
  });

  it.each([
    ['abcd-1234', 'ABCD1234'],
    [' ABCD 1234 ', 'ABCD1234'],
    ['oBiL0000', '0B110000'],
    ['ABCD\t1234\n', 'ABCD1234'],
  ])('take %j for the code it stands for', (typed, meant) => {
    expect(meantCode(typed)).toBe(meant);
  });

  it('compare whole digests in a time that does not depend on where they differ, and every known one each time', () => {
    const compared: string[] = [];
    const known = ['a', 'b', 'c'].map(name => ({ name, digest: digestOf(name) }));
    const found = findSame(known, digestOf('a'), one => {
      compared.push(one.name);
      return one.digest;
    });
    expect([found?.name, compared]).toEqual(['a', ['a', 'b', 'c']]);
    // By construction, not by a stop-watch: nothing in the rooms that see secrets compares them otherwise.
    const room = sourceFiles().filter(file => file.startsWith('agent/sharing/'));
    const lines = room.flatMap(file => readFileSync(file, 'utf8').split('\n'));
    expect(lines.filter(line => line.includes('timingSafeEqual('))).toHaveLength(1);
    const otherwise =
      /(?<!typeof .*)\b(secret|token|code|digest|sha256)\s*[!=]==?\s*(?!undefined|null)|\.(equals|compare)\(/i;
    expect(lines.filter(line => otherwise.test(line))).toEqual([]);
  });

  it('leave two words that can be read aloud, of thousands', () => {
    const many = new Set(Array.from({ length: 2000 }, twoWords));
    for (const words of many) expect(words).toMatch(/^[a-z]{3,9} [a-z]{3,9}$/);
    expect(many.size).toBeGreaterThan(1200);
  });
});
