import { describe, expect, it } from 'vitest';
import { makeFrame, writeFrame } from '../../agent/server/frame.ts';
import { liveReading, status } from '../support/server-stage.ts';

/** The shortest message there is, filled up so that its frame's payload has exactly `length` bytes. */
function framed(length: number): Buffer {
  const message = status();
  message.status.link = '';
  const bare = writeFrame(makeFrame(message, 0), 1, 0).length - 4;
  message.status.link = 'x'.repeat(length - bare);
  return writeFrame(makeFrame(message, 0), 1, 0);
}

describe('a frame', () => {
  it.each([
    [65_535, [0x81, 126, 0xff, 0xff]],
    [65_536, [0x81, 127, 0, 0, 0, 0, 0, 1, 0, 0]],
    [400, [0x81, 126, 0x01, 0x90]],
  ])('of %i bytes has the header that RFC 6455 section 5.2 lays out', (length, header) => {
    const frame = framed(length);
    expect([...frame.subarray(0, header.length)]).toEqual(header);
    expect(frame.length).toBe(length + header.length);
    expect(JSON.parse(String(frame.subarray(header.length)))).toMatchObject({ n: 1, type: 'status' });
  });

  it('under 126 bytes has the short header', () => {
    const frame = writeFrame(makeFrame({ type: 'beat' }, 0), 7, 0);
    expect(String(frame.subarray(2))).toBe('{"n":7,"type":"beat"}');
    expect([frame[0], frame[1]]).toEqual([0x81, frame.length - 2]);
  });

  it('speaks of one kind and one station, and tells the age at the moment of sending', () => {
    const frame = makeFrame(liveReading(3, 'barn', 20), 1000);
    expect([frame.key, frame.station]).toEqual(['reading barn', 'barn']);
    expect(JSON.parse(String(writeFrame(frame, 9, 1500.4).subarray(4)))).toMatchObject({ n: 9, ageMs: 520 });
  });
});
