import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { createDelimiterFramer, type RejectionCause } from '#kit';

const text = (bytes: Uint8Array): string => Buffer.from(bytes).toString('latin1');

const nothing = (): never => expect.fail('nothing is given and nothing is wrong');

/** What comes out when `bytes` arrive in pieces that end at `cuts`. */
function feed(bytes: Uint8Array, cuts: readonly number[], maxFrameBytes: number) {
  const framer = createDelimiterFramer({ maxFrameBytes });
  const frames: string[] = [];
  const causes: RejectionCause[] = [];
  const onFrame = (frame: Uint8Array): void => void frames.push(text(frame));
  const onReject = (cause: RejectionCause): void => void causes.push(cause);
  let from = 0;
  for (const cut of [...cuts.filter(c => c < bytes.length), bytes.length].sort((a, b) => a - b)) {
    framer.push(bytes.subarray(from, cut), onFrame, onReject);
    from = cut;
  }
  framer.end(onReject);
  return { frames, causes };
}

const byte = fc.oneof(fc.constantFrom(0x0a, 0x0d, 0x7b), fc.integer({ min: 0, max: 255 }));
const stream = fc.array(byte, { maxLength: 300 }).map(bytes => Uint8Array.from(bytes));
const cutting = fc.array(fc.nat(300), { maxLength: 40 });

describe('a newline framer', () => {
  it('gives the same frames and rejections however the stream was cut', () => {
    fc.assert(
      fc.property(stream, cutting, fc.integer({ min: 1, max: 40 }), (bytes, cuts, max) => {
        const whole = feed(bytes, [], max);
        const everyByte = feed(
          bytes,
          Array.from(bytes, (_, i) => i),
          max,
        );
        expect(feed(bytes, cuts, max)).toEqual(whole);
        expect(everyByte).toEqual(whole);
      }),
    );
  });

  it('gives exactly the lines within the ceiling, and one rejection for each longer one', () => {
    fc.assert(
      fc.property(stream, cutting, fc.integer({ min: 1, max: 40 }), (bytes, cuts, max) => {
        const lines = text(bytes)
          .split('\n')
          .map(line => line.replace(/\r$/, ''));
        const last = lines.pop() ?? '';
        const { frames, causes } = feed(bytes, cuts, max);
        expect(frames).toEqual(lines.filter(line => line !== '' && line.length <= max));
        const tooLong = lines.filter(line => line.length > max).length;
        expect(causes.filter(cause => cause === 'tooLong').length).toBeGreaterThanOrEqual(tooLong);
        expect(causes.length).toBe(tooLong + (last === '' ? 0 : 1));
      }),
    );
  });

  it('accepts lines that end in CR LF, even when the cut falls between the two', () => {
    expect(feed(Buffer.from('ab\r\ncd\r\n'), [3], 2).frames).toEqual(['ab', 'cd']);
  });

  it('reads on after the next newline when a frame was too long', () => {
    const bytes = Buffer.from(`${'x'.repeat(5000)}\n{"a":1}\n`);
    expect(feed(bytes, [100, 2000, 4999], 4096)).toEqual({ frames: ['{"a":1}'], causes: ['tooLong'] });
  });

  it('rejects an endless frame once, however long it goes on', () => {
    const framer = createDelimiterFramer({ maxFrameBytes: 4096 });
    const causes: RejectionCause[] = [];
    const noise = new Uint8Array(65_536).fill(0x55);
    for (let i = 0; i < 200; i++) {
      framer.push(
        noise,
        () => expect.fail('no frame'),
        cause => causes.push(cause),
      );
    }
    framer.end(cause => causes.push(cause));
    expect(causes).toEqual(['tooLong']);
  });

  it('calls what is left at the end of the link incomplete, and starts afresh after it', () => {
    const framer = createDelimiterFramer({ maxFrameBytes: 100 });
    const causes: RejectionCause[] = [];
    const frames: string[] = [];
    framer.push(Buffer.from('half a fra'), nothing, nothing);
    framer.end(cause => causes.push(cause));
    framer.push(
      Buffer.from('whole\n'),
      frame => frames.push(text(frame)),
      () => expect.fail('nothing is wrong'),
    );
    expect(causes).toEqual(['incomplete']);
    expect(frames).toEqual(['whole']);
  });

  it('cuts at another delimiter and then keeps carriage returns', () => {
    const framer = createDelimiterFramer({ maxFrameBytes: 10, delimiter: 0 });
    const frames: string[] = [];
    framer.push(Buffer.from('a\r\0b\0'), frame => frames.push(text(frame)), nothing);
    expect(frames).toEqual(['a\r', 'b']);
  });
});
