import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createRequestCheck, requestsFault } from '#kit';

const bytes = (hex: string): Uint8Array => Uint8Array.from(Buffer.from(hex.replace(/ /g, ''), 'hex'));
const READ = { name: 'read holding registers', bytes: '.. 03 .. .. 00 .. .. ..' };

describe('the list of requests', () => {
  it('allows what matches a pattern byte by byte, and nothing else', () => {
    const allows = createRequestCheck([READ, { name: 'wake', bytes: 'AA 55', to: 'command' }]);
    expect(allows(bytes('01 03 9c40 0002 c58f'), '')).toBe(true);
    expect(allows(bytes('01 06 9c40 0002 c58f'), '')).toBe(false);
    expect(allows(bytes('01 03 9c40 0002 c58f 00'), '')).toBe(false);
    expect(allows(bytes('aa 55'), 'command')).toBe(true);
    expect(allows(bytes('aa 55'), '')).toBe(false);
  });

  it('allows nothing where a manifest lists nothing', () => {
    const allows = createRequestCheck(undefined);
    fc.assert(fc.property(fc.uint8Array(), message => !allows(message, '')));
  });

  it.each([
    ['no list', 'x', /lists/],
    ['a pattern that would allow everything', [{ name: 'any', bytes: '.. ..' }], /any message/],
    ['a pattern that is no hex', [{ name: 'odd', bytes: '3' }], /pairs of hex/],
    ['no name', [{ bytes: '03' }], /needs a name/],
    ['an unknown characteristic', [{ name: 'x', bytes: '03', to: 'nowhere' }], /does not name/],
  ])('is refused with %s', (_what, requests, words) => {
    expect(requestsFault(requests, [''])).toMatch(words);
  });

  it('is taken where every entry names its bytes', () => {
    expect(requestsFault([READ], [''])).toBeNull();
  });
});
