import { beforeEach, describe, expect, it } from 'vitest';
import type { ServerMessage } from '#messages';
import { type Connection, type ConnectionControl, connectToAgent, retryDelayMs } from '../../web/state/connection.ts';
import { countSleep } from '../../web/state/page-clock.ts';
import { type HandSocket, handSocket } from '../support/hand-socket.ts';
import { EVENING_AT, shedStation } from '../support/honey-shed.ts';
import { type HandPageClock, handPageClock } from '../support/page-clock.ts';

const hello = (change: object = {}) => ({
  type: 'hello',
  n: 1,
  protocol: 1,
  version: '0.1.0',
  demo: false,
  now: new Date(EVENING_AT).toISOString(),
  heartbeatMs: 5000,
  ackWindow: 10,
  display: { temperature: 'C', clock: '24' },
  stations: [shedStation()],
  ...change,
});

describe('the line to the agent', () => {
  let clock: HandPageClock;
  let sockets: HandSocket[];
  let states: Connection[];
  let heard: ServerMessage[];
  let unreadable: number;
  let line: ConnectionControl;
  /** Time in which no timer ran. */
  let sleptMs: number;
  const last = () => sockets.at(-1)!;

  beforeEach(() => {
    clock = handPageClock(EVENING_AT);
    sockets = [];
    states = [];
    heard = [];
    unreadable = sleptMs = 0;
    line = connectToAgent({
      clock: { ...clock, nowMs: () => clock.nowMs() + sleptMs },
      openSocket: () => {
        sockets.push(handSocket());
        return last();
      },
      onState: state => states.push(state),
      onMessage: message => heard.push(message),
      onUnreadable: () => unreadable++,
    });
    line.start();
  });

  it('subscribes with its protocol and its own clock as soon as the socket opens', () => {
    last().onopen!();
    expect(last().sent).toEqual([{ type: 'subscribe', protocol: 1, stations: [], now: '2026-11-08T19:00:00.000Z' }]);
  });

  it('is open from the hello on', () => {
    last().onopen!();
    expect(states.map(s => s.phase)).toEqual(['connecting']);
    last().hear(hello());
    expect(states.map(s => s.phase)).toEqual(['connecting', 'open']);
  });

  it('acknowledges the highest number a quarter of a second after a frame has shown it', () => {
    last().hear(hello());
    last().hear({ type: 'beat', n: 2 });
    last().hear({ type: 'beat', n: 3 });
    clock.advance(300);
    expect(last().sent).toEqual([]);
    clock.show();
    clock.advance(250);
    expect(last().sent).toEqual([{ type: 'ack', n: 3 }]);
  });

  it('acknowledges every fifth at once, so that the agent never waits for a page that keeps up', () => {
    last().hear(hello());
    for (let n = 2; n <= 5; n++) last().hear({ type: 'beat', n });
    clock.show();
    expect(last().sent).toEqual([{ type: 'ack', n: 5 }]);
    clock.advance(1000);
    expect(last().sent).toHaveLength(1);
  });

  it('acknowledges nothing on a new line that an old line showed', () => {
    last().hear(hello());
    last().onclose!();
    clock.advance(1000);
    clock.show();
    expect(last().sent).toEqual([]);
  });

  it('drops and counts what does not fit its schema, and still acknowledges it', () => {
    last().hear(hello());
    last().hear({ type: 'reading', n: 2, ageMs: 'soon' });
    last().hear('not json');
    expect([heard.length, unreadable]).toEqual([1, 2]);
    clock.show();
    clock.advance(250);
    expect(last().sent).toEqual([{ type: 'ack', n: 2 }]);
  });

  it('tries again after 1, 2, 4, 8, then every 15 s', () => {
    const waits: number[] = [];
    for (let i = 0; i < 7; i++) {
      last().onclose!();
      const state = states.at(-1)!;
      if (state.phase !== 'lost') throw new Error(`expected a lost line, not ${state.phase}`);
      waits.push(state.retryAtMs - clock.nowMs());
      clock.advance(state.retryAtMs - clock.nowMs());
    }
    expect(waits).toEqual([1000, 2000, 4000, 8000, 15000, 15000, 15000]);
    expect(sockets).toHaveLength(8);
    expect(retryDelayMs(1)).toBe(1000);
  });

  it('starts from one second again after a hello', () => {
    last().onclose!();
    clock.advance(1000);
    last().onclose!();
    clock.advance(2000);
    last().hear(hello());
    last().onclose!();
    expect(states.at(-1)).toMatchObject({ phase: 'lost', attempt: 1 });
  });

  it('takes silence of two and a half heartbeats for a dead line', () => {
    last().hear(hello({ heartbeatMs: 2000 }));
    clock.advance(4999);
    expect(states.at(-1)!.phase).toBe('open');
    clock.advance(1);
    expect(states.at(-1)!.phase).toBe('lost');
    expect(last().closed).toBe(true);
  });

  it('stays open while heartbeats come', () => {
    last().hear(hello({ heartbeatMs: 2000 }));
    for (let n = 2; n < 12; n++) {
      clock.advance(2000);
      last().hear({ type: 'beat', n });
    }
    expect(states.at(-1)!.phase).toBe('open');
  });

  it('asks for a reload when the agent speaks another version, and tries no more', () => {
    last().hear(hello({ protocol: 2, stations: 'in a form yet to be invented' }));
    expect(states.at(-1)).toEqual({ phase: 'outdated' });
    clock.advance(60_000);
    expect(sockets).toHaveLength(1);
  });

  it('tries at once when told to, and only where it was waiting', () => {
    line.retryNow();
    expect(sockets).toHaveLength(1);
    last().onclose!();
    line.retryNow();
    expect(sockets).toHaveLength(2);
    clock.advance(1000);
    expect(sockets).toHaveLength(2);
  });

  it('takes nothing of a line that was silent too long while the page slept, and opens another at once', () => {
    last().onopen!();
    last().hear(hello());
    const [old] = sockets;
    sleptMs = 3_600_000;
    // What had waited in the browser: its age is that of an hour ago.
    old!.hear({ type: 'beat', n: 2 });
    expect([heard.length, sockets.length, old!.closed]).toEqual([1, 2, true]);
    expect(states.map(s => s.phase)).toEqual(['connecting', 'open', 'connecting']);
    last().hear(hello());
    expect(states.at(-1)!.phase).toBe('open');
    last().hear({ type: 'beat', n: 2 });
    expect(heard).toHaveLength(3);
  });

  it('opens another when told to, where the line slept too long; one that spoke lately is kept', () => {
    last().hear(hello());
    sleptMs = 12_500;
    line.retryNow();
    expect(sockets).toHaveLength(1);
    sleptMs = 12_501;
    line.retryNow();
    expect([sockets.length, states.at(-1)!.phase]).toEqual([2, 'connecting']);
  });
});

describe('a page that was away', () => {
  const away = (awakeMs: number, wallMs: number) => {
    let [mono, wall] = [1000, EVENING_AT];
    const clock = countSleep(
      () => mono,
      () => wall,
    );
    clock.left();
    clock.left();
    mono += awakeMs;
    wall += wallMs;
    clock.returned();
    clock.returned();
    return clock.nowMs() - 1000;
  };

  it.each([
    ['both clocks ran on', 3_600_000, 3_600_000, 3_600_000],
    ['the machine slept and its monotonic clock stood still', 4000, 3_600_000, 3_600_000],
    ['the wall clock was put right by a second', 600_000, 601_000, 600_000],
    ['the wall clock was put back', 600_000, -3_600_000, 600_000],
  ])('counts the time that passed: %s', (_, awakeMs, wallMs, passedMs) => {
    expect(away(awakeMs, wallMs)).toBe(passedMs);
  });

  it('counts nothing that happened to the clocks while it was there', () => {
    let wall = EVENING_AT;
    const clock = countSleep(
      () => 5000,
      () => wall,
    );
    wall += 3_600_000;
    clock.returned();
    expect(clock.nowMs()).toBe(5000);
  });
});
