import { describe, expect, it } from 'vitest';
import { createSilenceFramer, type Framer } from '#kit';
import { FramedPlace } from '../../agent/host/framed-place.ts';
import { bytesOf, hexOf } from '../support/feed.ts';
import { handClock } from '../support/hand-clock.ts';

const IDLE_MS = 10;
const deaf: Framer = { push: () => undefined, end: () => undefined, idleMs: IDLE_MS };

function stage(createFramer: () => Framer = () => createSilenceFramer({ maxFrameBytes: 20, idleMs: IDLE_MS })) {
  const clock = handClock();
  const told: string[] = [];
  let lateMs = 0;
  const place = new FramedPlace({
    monoMs: () => clock.monoMs() + lateMs,
    timers: clock,
    createFramer,
    onFrame: frame => void told.push(`${clock.monoMs()}: ${hexOf(frame)}`),
    onReject: cause => void told.push(`${clock.monoMs()}: ${cause}`),
    onThrow: cause => void told.push(`${clock.monoMs()}: threw ${String(cause)}`),
  });
  return { clock, told, place, busy: (ms: number) => (lateMs += ms) };
}

describe('a place whose frames are parted by silence', () => {
  it('ends a frame once nothing came for as long as the framer asks', () => {
    const { clock, told, place } = stage();
    place.feed(bytesOf('01'));
    clock.advance(IDLE_MS - 1);
    place.feed(bytesOf('02'));
    clock.advance(IDLE_MS - 1);
    expect(told).toEqual([]);
    clock.advance(1);
    expect(told).toEqual([`${2 * IDLE_MS - 1}: 0102`]);
  });

  it('tells each silence once, and none before the first byte', () => {
    let silences = 0;
    const { clock, place } = stage(() => ({ ...deaf, idle: () => (silences += 1) }));
    clock.advance(100);
    expect(silences).toBe(0);
    place.feed(bytesOf('01'));
    clock.advance(1000);
    place.feed(bytesOf('02'));
    clock.advance(1000);
    expect(silences).toBe(2);
  });

  it('parts two chunks whose silence the timer was too late for', () => {
    const { told, place, busy } = stage();
    place.feed(bytesOf('01'));
    busy(IDLE_MS + 5);
    place.feed(bytesOf('02'));
    expect(told).toEqual(['0: 01']);
  });

  it('says nothing more once the link is gone or what was held is thrown away', () => {
    const { clock, told, place } = stage();
    place.feed(bytesOf('01'));
    place.clear();
    clock.advance(100);
    place.feed(bytesOf('02'));
    place.end();
    clock.advance(100);
    expect(told).toEqual(['100: incomplete']);
  });

  it('goes on with a new framer where one threw', () => {
    let made = 0;
    const { clock, told, place } = stage(() => {
      made += 1;
      if (made > 1) return createSilenceFramer({ maxFrameBytes: 20, idleMs: IDLE_MS });
      return {
        ...deaf,
        idle() {
          throw new Error('no');
        },
      };
    });
    place.feed(bytesOf('01'));
    clock.advance(IDLE_MS);
    place.feed(bytesOf('02'));
    clock.advance(IDLE_MS);
    expect(told).toEqual([`${IDLE_MS}: threw Error: no`, `${2 * IDLE_MS}: 02`]);
  });

  it('never sees a Buffer, whose slice would change the frame it was cut from', () => {
    const seen: boolean[] = [];
    const { place } = stage(() => ({ ...deaf, push: chunk => void seen.push(chunk instanceof Buffer) }));
    place.feed(Buffer.from('ab'));
    expect(seen).toEqual([false]);
  });
});
