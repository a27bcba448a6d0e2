import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CapturedChunk, captureHead, captureLine, parseCapture } from '#kit';

const HEAD = { transport: 'serial', begunAt: '2026-06-21T09:00:00.000Z', baud: 9600 };
const chunk = fc.record({
  atMs: fc.nat(1e9),
  way: fc.constantFrom<'in' | 'out'>('in', 'out'),
  place: fc.oneof(fc.constant(''), fc.string({ maxLength: 12 })),
  bytes: fc.uint8Array({ maxLength: 60 }),
});
const written = (chunks: readonly CapturedChunk[]): string => captureHead(HEAD) + chunks.map(captureLine).join('');

describe('a capture file', () => {
  it('gives back what was written', () => {
    fc.assert(
      fc.property(fc.array(chunk), chunks => {
        expect(parseCapture('a', written(chunks))).toEqual({ name: 'a', chunks, head: { capture: 1, ...HEAD } });
      }),
    );
  });

  it('is read by hand: times, ways, places and pairs of bytes', () => {
    expect(captureLine({ atMs: 41.4, way: 'in', place: 'level', bytes: Uint8Array.of(1, 0xab, 3) })).toBe(
      '[41,"in","level","01ab 03"]\n',
    );
  });

  it('loses only the last line to a crash, wherever it was cut', () => {
    fc.assert(
      fc.property(fc.array(chunk, { minLength: 1 }), fc.nat(), (chunks, cut) => {
        const text = written(chunks);
        const kept = text.slice(0, captureHead(HEAD).length + (cut % (text.length - captureHead(HEAD).length)));
        const parsed = parseCapture('a', kept);
        if ('fault' in parsed) expect.fail(parsed.fault);
        expect(chunks.slice(0, parsed.chunks.length)).toEqual(parsed.chunks);
        expect(parsed.chunks.length).toBeGreaterThanOrEqual(kept.split('\n').length - 2);
      }),
    );
  });

  it('may hold notes and empty lines, and says where it cannot be read', () => {
    const text = `${captureHead(HEAD)}{"tree":[]}\n\n[1,"in","","00"]\n`;
    expect(parseCapture('a', text)).toMatchObject({ chunks: [{ atMs: 1 }] });
    expect(parseCapture('a.txt', `${text}[2,"up","","00"]\n`)).toEqual({
      fault: 'a.txt, line 5: not [ms, "in" or "out", place, hex]',
    });
    expect(parseCapture('a.txt', '{"other":1}\n')).toEqual({ fault: 'a.txt is no capture of version 1' });
    expect(parseCapture('a.txt', '')).toEqual({ fault: 'a.txt is no capture of version 1' });
  });
});
