import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  createFrameParser,
  decodeBytes,
  encodeBytes,
  encodeJson,
  FRAME,
  type FrameType,
  MAX_PAYLOAD_BYTES,
} from '../../agent/host/pipe.ts';

/** What a parser makes of `stream` in pieces of the given sizes. */
function parse(stream: Buffer, sizes: readonly number[]) {
  const frames: { type: FrameType; payload: string }[] = [];
  const broken: string[] = [];
  const parser = createFrameParser(
    (type, payload) => frames.push({ type, payload: payload.toString('latin1') }),
    reason => broken.push(reason),
  );
  let from = 0;
  for (const size of [...sizes, stream.length]) {
    parser.push(stream.subarray(from, from + size));
    from += size;
  }
  return { frames, broken };
}

const type = fc.constantFrom(...Object.values(FRAME));
const frame = fc.tuple(type, fc.jsonValue());
const sizes = fc.array(fc.nat(30), { maxLength: 60 });

describe('the framed pipe', () => {
  it('gives the frames that were sent, however the stream was cut', () => {
    fc.assert(
      fc.property(fc.array(frame, { maxLength: 12 }), sizes, (sent, cuts) => {
        const stream = Buffer.concat(sent.map(([t, value]) => encodeJson(t, value)));
        const { frames, broken } = parse(stream, cuts);
        expect(broken).toEqual([]);
        expect(frames).toEqual(
          sent.map(([t, value]) => ({ type: t, payload: Buffer.from(JSON.stringify(value)).toString('latin1') })),
        );
      }),
    );
  });

  it('carries the bytes of a channel whole, in frames within the ceiling', () => {
    const chunk = Buffer.alloc(200_000, 7);
    const frames = encodeBytes(FRAME.bytes, 513, 2, chunk);
    const parts: Buffer[] = [];
    const parser = createFrameParser(
      (_type, payload) => {
        expect(payload.length).toBeLessThanOrEqual(MAX_PAYLOAD_BYTES);
        const part = decodeBytes(payload);
        expect(part).toMatchObject({ channel: 513, place: 2 });
        parts.push(Buffer.from(part!.bytes));
      },
      reason => expect.fail(reason),
    );
    for (const one of frames) parser.push(one);
    expect(Buffer.concat(parts).equals(chunk)).toBe(true);
    expect(decodeBytes(Buffer.of(1))).toBeNull();
  });

  it('breaks at a header that promises too much, before a byte of it is kept', () => {
    const liar = Buffer.alloc(5);
    liar.writeUInt32LE(200_000_000);
    liar[4] = FRAME.reading;
    const { frames, broken } = parse(
      Buffer.concat([encodeJson(FRAME.beat, {}), liar, encodeJson(FRAME.beat, {})]),
      [3],
    );
    expect(frames).toHaveLength(1);
    expect(broken).toEqual(['a message of 200000000 bytes, at most 65536']);
  });

  it('breaks once at a kind it does not know, and hears nothing more', () => {
    const { broken } = parse(Buffer.from([0, 0, 0, 0, 99, 0, 0, 0, 0, 98]), [1, 1, 1]);
    expect(broken).toEqual(['a message of the unknown kind 99']);
  });

  it('never throws and breaks at most once on any bytes', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 500 }), sizes, (bytes, cuts) => {
        expect(parse(Buffer.from(bytes), cuts).broken.length).toBeLessThanOrEqual(1);
      }),
    );
  });

  it('refuses to send what the other side would refuse to read', () => {
    expect(() => encodeJson(FRAME.open, 'x'.repeat(70_000))).toThrow(RangeError);
  });
});
