import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { readMessage } from '../../agent/host/messages.ts';
import { FRAME, type FrameType } from '../../agent/host/pipe.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';

const read = (type: FrameType, value: unknown) => readMessage(type, Buffer.from(JSON.stringify(value)));
const reading = { quantities: { inputPowerW: 1 }, states: {}, quality: 'good', reasons: {} };

describe('a message from the process of an adapter', () => {
  it('is read where it makes sense', () => {
    expect(read(FRAME.reading, { c: 3, reading })).toEqual({ type: 'reading', channel: 3, reading });
    expect(read(FRAME.ready, { manifests: [lines.manifest] })).toEqual({ type: 'ready', manifests: [lines.manifest] });
    expect(read(FRAME.closed, { c: 3 })).toEqual({ type: 'closed', channel: 3 });
    expect(read(FRAME.beat, {})).toEqual({ type: 'beat' });
  });

  it('has its values checked once more', () => {
    const forged = { ...reading, quantities: { inputPowerW: -1, outputPowerW: 2, watts: 9 } };
    expect(read(FRAME.reading, { c: 3, reading: forged })).toMatchObject({
      reading: { quantities: { inputPowerW: null, outputPowerW: 2 }, quality: 'uncertain' },
    });
    expect(read(FRAME.rejected, { c: 1, counts: { notJson: 2, mood: 4, tooFast: -1 }, detail: 'a\nb' })).toEqual({
      type: 'rejected',
      channel: 1,
      counts: { notJson: 2 },
      detail: 'a·b',
    });
  });

  it.each([
    ['a reading of nothing', FRAME.reading, { c: 3, reading: { quantities: {} } }],
    ['a reading for no channel', FRAME.reading, { reading }],
    ['a manifest from another world', FRAME.ready, { manifests: [{ id: 'x' }] }],
    ['no manifest', FRAME.ready, { manifests: [] }],
    ['a list', FRAME.closed, []],
    ["the agent's own kind of message", FRAME.open, { c: 1, adapter: 'lines' }],
  ])('is refused where it makes none: %s', (_, type, value) => {
    expect(read(type, value)).toBeNull();
  });

  it('never throws, whatever its bytes', () => {
    const payload = fc.oneof(
      fc.uint8Array({ maxLength: 100 }).map(bytes => Buffer.from(bytes)),
      fc.jsonValue().map(value => Buffer.from(JSON.stringify(value))),
    );
    fc.assert(
      fc.property(fc.constantFrom(...Object.values(FRAME)), payload, (type, bytes) => void readMessage(type, bytes)),
    );
  });
});
