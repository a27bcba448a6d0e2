import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  CRC,
  cobs,
  createCobsFramer,
  createCrc,
  createFixedLengthFramer,
  createLengthFieldFramer,
  createScanFramer,
  createSilenceFramer,
  createSlipFramer,
  createWholeFramer,
  type Framer,
  slip,
  trailerHolds,
  withTrailer,
  xor8,
} from '#kit';
import { COBS, SLIP } from '../reference/stuffing.ts';
import { bytesOf, everyByte, feed, hexOf } from '../support/feed.ts';

const CRC16 = { checksum: createCrc(CRC.modbus), bytes: 2 } as const;
/** A5, length of the body, body, CRC. */
const pack = (body: readonly number[]): Uint8Array => withTrailer([0xa5, body.length, ...body], CRC16);
const packed = (maxFrameBytes = 64, idleMs?: number): Framer =>
  createLengthFieldFramer({
    maxFrameBytes,
    start: [0xa5],
    lengthAt: 1,
    adjust: 4,
    holds: frame => trailerHolds(frame, CRC16),
    ...(idleMs === undefined ? {} : { idleMs }),
  });

const join = (...parts: Uint8Array[]): Uint8Array => Uint8Array.from(parts.flatMap(part => [...part]));
const body = fc.array(fc.integer({ min: 0, max: 255 }), { maxLength: 20 });
const noisy = fc.array(fc.oneof(fc.constant(0xa5), fc.integer({ min: 0, max: 255 })), { maxLength: 120 });
const cuts = fc.array(fc.nat(400), { maxLength: 40 });

const FRAMERS: Record<string, () => Framer> = {
  'length field': () => packed(),
  'length field, two bytes': () =>
    createLengthFieldFramer({ maxFrameBytes: 40, lengthAt: 0, lengthBytes: 2, bigEndian: true, adjust: 2 }),
  'fixed length': () => createFixedLengthFramer({ bytes: 7, start: [0xa5], holds: f => trailerHolds(f, CRC16) }),
  scan: () => createScanFramer({ maxFrameBytes: 12, headBytes: 2, frameBytes: head => (head[0]! & 7) + head[1]! }),
  slip: () => createSlipFramer({ maxFrameBytes: 10 }),
  cobs: () => createCobsFramer({ maxFrameBytes: 10 }),
  silence: () => createSilenceFramer({ maxFrameBytes: 400, idleMs: 5 }),
};

describe.each(Object.entries(FRAMERS))('a framer by %s', (_, create) => {
  it('gives the same frames and rejections however the stream was cut', () => {
    fc.assert(
      fc.property(noisy, cuts, fc.array(fc.nat(120), { maxLength: 4 }), (bytes, at, silences) => {
        const stream = Uint8Array.from(bytes);
        const whole = feed(create(), stream, [], silences);
        expect(feed(create(), stream, at, silences)).toEqual(whole);
        expect(feed(create(), stream, everyByte(stream), silences)).toEqual(whole);
      }),
    );
  });

  it('starts afresh once the link has closed', () => {
    fc.assert(
      fc.property(noisy, noisy, (before, after) => {
        const used = create();
        feed(used, Uint8Array.from(before));
        expect(feed(used, Uint8Array.from(after))).toEqual(feed(create(), Uint8Array.from(after)));
      }),
    );
  });
});

describe('a framer by length field', () => {
  it('gives every good frame between stretches of noise that hold no start byte, and one rejection a stretch', () => {
    const quiet = fc.array(fc.integer({ min: 0, max: 0xa4 }), { minLength: 1, maxLength: 30 });
    fc.assert(
      fc.property(fc.array(fc.tuple(quiet, body), { minLength: 1, maxLength: 8 }), cuts, (parts, at) => {
        const stream = join(...parts.flatMap(([noise, told]) => [Uint8Array.from(noise), pack(told)]));
        const { frames, causes } = feed(packed(), stream, at);
        expect(frames).toEqual(parts.map(([, told]) => hexOf(pack(told))));
        expect(causes).toEqual(parts.map(() => 'malformed'));
      }),
    );
  });

  it('finds the good frames behind a false start, once it could no longer be one', () => {
    // A start byte in noise claims 60 bytes: the three frames behind it are held, then given.
    const good = [pack([1, 2, 3]), pack([4]), pack([5, 6, 7, 8, 9])];
    const filler = new Uint8Array(64);
    const { frames, causes } = feed(packed(), join(Uint8Array.of(0xa5, 60), ...good, filler));
    expect(frames).toEqual(good.map(hexOf));
    expect(causes).toEqual(['checksum', 'malformed']);
  });

  it('finds them at once where a silence ends the false one', () => {
    const framer = packed(64, 20);
    expect(framer.idleMs).toBe(20);
    const stream = join(Uint8Array.of(0xa5, 60), pack([1, 2, 3]));
    expect(feed(framer, stream, [], [stream.length])).toEqual({
      frames: [hexOf(pack([1, 2, 3]))],
      causes: ['incomplete'],
    });
  });

  it('tells a length over the ceiling, and one that cannot be', () => {
    expect(feed(packed(20), Uint8Array.of(0xa5, 200, 1, 2, 3)).causes).toEqual(['tooLong']);
    const minus = createLengthFieldFramer({ maxFrameBytes: 20, lengthAt: 0, adjust: -4 });
    expect(feed(minus, Uint8Array.of(3)).causes).toEqual(['malformed']);
  });

  it('reads lengths of 1, 2 and 4 bytes in both orders', () => {
    for (const [field, lengthBytes, bigEndian] of [
      ['05', 1, false],
      ['06 00', 2, false],
      ['00 06', 2, true],
      ['08 00 00 00', 4, false],
      ['00 00 00 08', 4, true],
    ] as const) {
      const frame = join(bytesOf(field), Uint8Array.of(1, 2, 3, 4));
      const order = bigEndian ? { bigEndian } : {};
      const framer = createLengthFieldFramer({ maxFrameBytes: 20, lengthAt: 0, lengthBytes, ...order });
      expect(feed(framer, join(frame, frame)).frames).toEqual([hexOf(frame), hexOf(frame)]);
    }
    const high = createLengthFieldFramer({ maxFrameBytes: 20, lengthAt: 0, lengthBytes: 4 });
    expect(feed(high, bytesOf('ff ff ff ff')).causes).toEqual(['tooLong']);
  });

  it('holds no more than its ceiling, however long noise goes on', () => {
    const framer = packed(64);
    const noise = new Uint8Array(65_536).map((_, i) => (i * 37) & 0xff);
    const causes: string[] = [];
    for (let i = 0; i < 10; i++)
      framer.push(
        noise,
        () => undefined,
        cause => void causes.push(cause),
      );
    let given = 0;
    framer.push(
      pack([9]),
      () => (given += 1),
      () => undefined,
    );
    framer.push(
      new Uint8Array(64),
      () => (given += 1),
      () => undefined,
    );
    expect(given).toBe(1);
    expect(causes.length).toBe(1);
  });
});

describe('a framer of fixed length', () => {
  it('comes back into step by its checksum alone', () => {
    const frame = (seed: number): Uint8Array => withTrailer([seed, seed + 1, seed + 2], { checksum: xor8, bytes: 1 });
    const framer = createFixedLengthFramer({ bytes: 4, holds: f => trailerHolds(f, { checksum: xor8, bytes: 1 }) });
    const stream = join(frame(1).subarray(1), frame(20), frame(50), frame(70));
    const { frames } = feed(framer, stream);
    expect(frames.slice(-2)).toEqual([hexOf(frame(50)), hexOf(frame(70))]);
  });
});

describe('a framer by silence', () => {
  it('takes what came between two silences for one frame', () => {
    const framer = createSilenceFramer({ maxFrameBytes: 10, idleMs: 4 });
    expect(feed(framer, bytesOf('01 02 03 04 05'), [1, 4], [3])).toEqual({
      frames: ['010203'],
      causes: ['incomplete'],
    });
  });

  it('skips what is too long up to the next silence', () => {
    const framer = createSilenceFramer({ maxFrameBytes: 4, idleMs: 4 });
    expect(feed(framer, bytesOf('01 02 03 04 05 06 07 08'), [3, 5], [6, 8])).toEqual({
      frames: ['0708'],
      causes: ['tooLong'],
    });
  });
});

describe('a framer of whole chunks', () => {
  it('takes each chunk for a frame, an empty one too', () => {
    const framer = createWholeFramer({ maxFrameBytes: 3 });
    const fed = { frames: [] as string[], causes: [] as string[] };
    for (const chunk of ['01 02', '', '03', '01 02 03 04']) {
      framer.push(
        bytesOf(chunk),
        f => void fed.frames.push(hexOf(f)),
        c => void fed.causes.push(c),
      );
    }
    expect(fed).toEqual({ frames: ['0102', '', '03'], causes: ['tooLong'] });
  });
});

describe('stuffing', () => {
  it.each(SLIP)('SLIP sends %s as %s', (plain, stuffed) => {
    expect(hexOf(slip(bytesOf(plain)))).toBe(hexOf(bytesOf(stuffed)));
  });

  it.each(COBS)('COBS sends %s as %s', (plain, stuffed) => {
    expect(hexOf(cobs(bytesOf(plain)))).toBe(hexOf(bytesOf(stuffed)));
  });

  it('gives back every message, however it was cut', () => {
    const message = fc.uint8Array({ minLength: 1, maxLength: 600 });
    const rich = fc.array(fc.constantFrom(0, 0xc0, 0xdb, 0xdc, 0xdd, 1), { minLength: 1, maxLength: 600 });
    const messages = fc.array(
      fc.oneof(
        message,
        rich.map(bytes => Uint8Array.from(bytes)),
      ),
      { maxLength: 5 },
    );
    fc.assert(
      fc.property(messages, fc.array(fc.nat(2000)), (sent, at) => {
        const frames = sent.map(hexOf);
        const max = { maxFrameBytes: 600 };
        expect(feed(createSlipFramer(max), join(...sent.map(slip)), at)).toEqual({ frames, causes: [] });
        expect(feed(createCobsFramer(max), join(...sent.map(cobs)), at)).toEqual({ frames, causes: [] });
      }),
    );
  });

  it('rejects what cannot have been stuffed so, and reads on', () => {
    expect(feed(createSlipFramer({ maxFrameBytes: 9 }), bytesOf('db 01 c0 05 c0'))).toEqual({
      frames: ['05'],
      causes: ['malformed'],
    });
    expect(feed(createCobsFramer({ maxFrameBytes: 9 }), bytesOf('09 01 00 02 05 00'))).toEqual({
      frames: ['05'],
      causes: ['malformed'],
    });
  });
});
