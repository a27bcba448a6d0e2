import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { ACK_WINDOW, HEARTBEAT_MS, type LiveMessage, PROTOCOL_VERSION } from '#messages';
import { liveReading, SHED, type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await stageServer();
});
afterEach(() => stage.close());

const isReading = (seq: number) => (m: { type: string; reading?: { seq: number } }) =>
  m.type === 'reading' && m.reading?.seq === seq;

/** A client that has its hello and what comes at once, all acknowledged. */
async function settled(stations: string[] = []) {
  const tap = stage.open();
  await tap.until(m => m.type === 'hello');
  tap.subscribe(stations);
  await tap.until(m => m.type === 'status' || (stations.length > 0 && m.type === 'health'));
  return tap;
}

describe('the live socket', () => {
  it('greets with the protocol version, the stations and its own time, and says nothing more before a subscription', async () => {
    const tap = stage.open();
    const hello = await tap.until(m => m.type === 'hello');
    expect(hello).toMatchObject({
      n: 1,
      protocol: PROTOCOL_VERSION,
      heartbeatMs: HEARTBEAT_MS,
      ackWindow: ACK_WINDOW,
      now: '2026-06-21T12:00:00.000Z',
      stations: [SHED],
    });
    stage.server.publish(liveReading(1));
    tap.subscribe();
    await tap.until(m => m.type === 'status');
    expect(tap.got.map(m => m.type)).toEqual(['hello', 'health', 'alarms', 'reading', 'status']);
    expect(tap.got).not.toContainEqual(expect.objectContaining({ reading: expect.objectContaining({ seq: 1 }) }));
  });

  it('gives a new client the newest of everything, then each message as it is published, numbered without a hole', async () => {
    const tap = await settled();
    for (let seq = 1; seq <= 4; seq++) stage.server.publish(liveReading(seq));
    await tap.until(isReading(4));
    expect(tap.got.map(m => m.n)).toEqual([1, 2, 3, 4, 5, 6, 7, 8, 9]);
    expect(tap.got.map(m => m.type)).toEqual([
      'hello',
      'health',
      'alarms',
      'reading',
      'status',
      ...Array(4).fill('reading'),
    ]);
  });

  it.each([1, 125, 126, 65_535, 65_536, 200_000])('carries a message of more than %i bytes whole', async size => {
    const tap = await settled();
    const long = liveReading(1) as Extract<LiveMessage, { type: 'reading' }>;
    long.reading.states.fault = 'ü'.repeat(size / 2);
    stage.server.publish(long);
    expect(await tap.until(isReading(1))).toMatchObject({ reading: long.reading });
    await tap.roundTrip();
    expect(tap.socket.readyState).toBe(tap.socket.OPEN);
  });

  it('sends only the stations a client asked for', async () => {
    const tap = await settled(['barn']);
    stage.server.publish(liveReading(1, 'shed'));
    stage.server.publish(liveReading(2, 'barn'));
    await tap.until(isReading(2));
    expect(tap.got.filter(m => m.type === 'reading')).toHaveLength(1);
  });

  it('greets anew when the stations change', async () => {
    const tap = await settled();
    stage.server.setStations([SHED, { ...SHED, id: 'barn', name: 'Barn' }]);
    const hello = await tap.until(m => m.type === 'hello' && m.stations.length === 2);
    expect(hello.n).toBeGreaterThan(1);
  });

  it('passes on the time a page tells', async () => {
    await settled();
    expect(stage.told).toContainEqual(['client clock', Date.UTC(2026, 5, 21, 12)]);
  });

  it('shows a client that stalled for eight seconds at 20 Hz at most ten old readings, then the newest', async () => {
    const tap = await settled();
    tap.ackAll();
    stage.server.publish(liveReading(1));
    await tap.until(isReading(1));
    tap.socket.pause();
    for (let seq = 2; seq <= 170; seq++) {
      stage.clock.advance(50);
      stage.server.publish(liveReading(seq));
    }
    tap.socket.resume();
    await tap.until(isReading(170));
    const seqs = tap.got.flatMap(m => (m.type === 'reading' && m.reading.seq > 1 ? [m.reading.seq] : []));
    expect(seqs.at(-1)).toBe(170);
    expect(seqs.length - 1).toBeLessThanOrEqual(10);
  });

  it('adds the time a reading waited to its age', async () => {
    const tap = await settled();
    for (let seq = 1; seq <= ACK_WINDOW; seq++) stage.server.publish(liveReading(seq));
    stage.server.publish(liveReading(99, 'shed', 20));
    stage.clock.advance(1500);
    await tap.until(isReading(5));
    tap.ack(10);
    expect(await tap.until(isReading(99))).toMatchObject({ n: 11, ageMs: 1520 });
  });

  it('keeps the newest of each kind and station for a client that does not acknowledge', async () => {
    const tap = await settled();
    for (let seq = 1; seq <= 40; seq++) {
      stage.server.publish(liveReading(seq));
      stage.server.publish(liveReading(100 + seq, 'barn'));
    }
    tap.ackAll();
    await tap.until(isReading(140));
    await tap.until(isReading(40));
    expect(tap.got.length).toBe(ACK_WINDOW + 2);
  });

  it('beats, and frees the place of a client that no longer answers', async () => {
    const tap = await settled();
    stage.clock.advance(HEARTBEAT_MS);
    await tap.until(m => m.type === 'beat');
    tap.socket.pause();
    stage.clock.advance(3 * HEARTBEAT_MS);
    tap.socket.resume();
    await tap.closed;
    expect(stage.server.refused()).toEqual({ silent: 1 });
    expect(stage.server.clients()).toBe(0);
  });

  it('lets go of a client that never subscribes', async () => {
    const tap = stage.open();
    await tap.until(m => m.type === 'hello');
    stage.clock.advance(HEARTBEAT_MS);
    stage.clock.advance(HEARTBEAT_MS);
    expect(await tap.closed).toEqual({ code: 1008, reason: 'no subscription' });
  });

  it('says goodbye to its clients when it stops, and stopping twice is stopping once', async () => {
    const tap = await settled();
    const first = stage.server.close();
    expect(stage.server.close()).toBe(first);
    expect(await tap.closed).toEqual({ code: 1001, reason: 'the agent is stopping' });
    await first;
  });

  it('stops even while a client does not answer', async () => {
    const tap = await settled();
    tap.socket.pause();
    const closing = stage.server.close();
    stage.clock.advance(250);
    await closing;
    expect(stage.server.clients()).toBe(0);
  });
});

describe('a live client that breaks the rules', () => {
  const cases: [what: string, code: number, send: (tap: Awaited<ReturnType<typeof settled>>) => void][] = [
    ['text that is not JSON', 1007, tap => tap.socket.send('honey')],
    ['a binary message', 1003, tap => tap.socket.send(Buffer.from('{}'))],
    ['an unknown type', 1008, tap => tap.socket.send('{"type":"open"}')],
    ['an unknown key', 1008, tap => tap.socket.send('{"type":"ack","n":1,"__proto__":{"a":1}}')],
    ['an acknowledgement of what was not sent', 1008, tap => tap.ack(1000)],
    ['a message over the ceiling', 1009, tap => tap.socket.send(`"${'x'.repeat(5000)}"`)],
    [
      'a flood of messages',
      1008,
      tap => {
        for (let i = 0; i < 110; i++) tap.subscribe();
      },
    ],
    [
      'a flood of pings',
      1008,
      tap => {
        for (let i = 0; i < 110; i++) tap.socket.ping();
      },
    ],
    [
      'a flood of acknowledgements that tell nothing new',
      1008,
      tap => {
        for (let i = 0; i < 110; i++) tap.ack(1);
      },
    ],
  ];
  it.each(cases)('by %s is closed with %i, and another stays connected', async (_what, code, send) => {
    const bystander = await settled();
    const tap = await settled();
    send(tap);
    expect((await tap.closed).code).toBe(code);
    stage.server.publish(liveReading(1));
    await bystander.until(isReading(1));
  });

  it('does not close one that acknowledges 20 messages a second for a minute', async () => {
    const tap = await settled();
    tap.ackAll();
    for (let seq = 1; seq <= 1200; seq++) {
      stage.clock.advance(50);
      stage.server.publish(liveReading(seq));
      await tap.until(isReading(seq));
    }
    expect(stage.server.refused()).toEqual({});
    expect(stage.server.clients()).toBe(1);
  });
});

describe('ceilings of the live socket', () => {
  it('refuses the client above the ceiling before the handshake and says when to come back', async () => {
    await stage.close();
    stage = await stageServer({ limits: { liveClients: 2 } });
    await settled();
    const second = await settled();
    expect(await stage.open().status).toBe(503);
    expect(stage.server.refused()).toEqual({ clients: 1 });
    second.socket.close();
    await second.closed;
    expect(await stage.open().status).toBe(101);
  });

  it('closes with 1013 a client whose backlog does not move for ten seconds', async () => {
    await stage.close();
    stage = await stageServer({ limits: { bufferedBytes: -1 } });
    const tap = await settled();
    for (let beat = 0; beat < 3; beat++) {
      if (beat > 0) await tap.roundTrip();
      stage.clock.advance(HEARTBEAT_MS);
    }
    expect((await tap.closed).code).toBe(1013);
    expect(stage.server.refused()).toEqual({ slow: 1 });
  });

  it('answers an upgrade anywhere else with 404', async () => {
    const { port } = stage.server;
    const upgrade =
      `GET /api/health HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nOrigin: http://127.0.0.1:${port}\r\n` +
      'Connection: Upgrade\r\nUpgrade: websocket\r\nSec-WebSocket-Version: 13\r\n' +
      'Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n\r\n';
    expect(await stage.raw(upgrade)).toMatch(/^HTTP\/1\.1 404 /);
  });
});
