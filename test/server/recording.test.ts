import { connect } from 'node:net';
import * as v from 'valibot';
import { afterEach, describe, expect, it } from 'vitest';
import { WattkeepError } from '#kit';
import { ErrorAnswer } from '#messages';
import type { ReadingDoor } from '../../agent/server/deps.ts';
import { type Stage, stageServer } from '../support/server-stage.ts';

const PATH = '/api/stations/shed/recording.csv';
const PIECE = Buffer.alloc(65_536, '1,2,3\r\n');
const CHUNKS_END = '\r\n0\r\n\r\n';

let stage: Stage;
afterEach(() => stage.close());

/** A stage whose recording is made by the test; `givenUp` settles once nobody wants the rest. */
async function staged(make: () => AsyncGenerator<Uint8Array>) {
  let tell: () => void = () => undefined;
  const givenUp = new Promise<void>(resolve => {
    tell = resolve;
  });
  const reading = {
    dateOf: () => '2026-06-21',
    recording() {
      const pieces = make();
      return {
        next: () => pieces.next(),
        return() {
          tell();
          return pieces.return(undefined);
        },
      };
    },
  } satisfies Partial<ReadingDoor>;
  stage = await stageServer({ reading: reading as unknown as ReadingDoor });
  return { givenUp };
}

describe('the readings as a file over HTTP', () => {
  it('go out in chunks, named, for the stretch that was asked for in the zone of the station', async () => {
    stage = await stageServer();
    const answer = await stage.get(`${PATH}?from=2026-06-01T00:00:00Z&to=1782043200000`);
    expect([answer.status, answer.body]).toEqual([200, 'time,inputPowerW\r\n2026-06-21T12:00:00Z,1\r\n']);
    expect(answer.headers).toMatchObject({
      'content-type': 'text/csv; charset=utf-8; header=present',
      'content-disposition': 'attachment; filename="Honey shed, readings from 2026-06-01 to 2026-06-21.csv"',
      'transfer-encoding': 'chunked',
      'cache-control': 'no-store',
    });
    expect(stage.told).toEqual([
      ['recording', 'shed', 'csv', Date.UTC(2026, 5, 1), 1_782_043_200_000, 'Europe/Lisbon'],
    ]);
    expect((await stage.get('/api/stations/attic/recording.csv')).status).toBe(404);
    expect((await stage.get(`${PATH}?from=2026-06-02T00:00:00Z&to=2026-06-01T00:00:00Z`)).status).toBe(400);
  });

  it('have their number and size told before, for the same stretch', async () => {
    stage = await stageServer();
    const answer = await stage.get('/api/stations/shed/recording?from=2026-06-01T00:00:00Z');
    expect(JSON.parse(answer.body)).toEqual({ readings: 1, minutes: 0, csvBytes: 40 });
    const last = Date.parse('9999-12-31T00:00:00Z');
    expect(stage.told).toEqual([['recordingSize', 'shed', Date.UTC(2026, 5, 1), last, 'Europe/Lisbon']]);
    expect((await stage.get('/api/stations/attic/recording')).status).toBe(404);
  });

  it('are not made for one who asks for the head alone', async () => {
    let made = 0;
    const { givenUp } = await staged(async function* () {
      for (;;) {
        made++;
        yield PIECE;
      }
    });
    const head = await stage.ask('HEAD', PATH, {});
    expect([head.status, head.headers['content-type'], head.body]).toEqual([
      200,
      'text/csv; charset=utf-8; header=present',
      '',
    ]);
    await givenUp;
    expect(made).toBe(1);
  });

  it('that cannot be begun are refused in words', async () => {
    await staged(async function* () {
      yield* [];
      throw new WattkeepError('READING_BUSY', 'Too much is being read.', 'Ask again.');
    });
    const answer = await stage.get(PATH);
    expect(answer.status).toBe(503);
    expect(v.parse(ErrorAnswer, JSON.parse(answer.body)).error).toMatchObject({ code: 'READING_BUSY' });
  });

  it('that break off end the connection without the last chunk, so that nobody takes them for whole', async () => {
    await staged(async function* () {
      yield PIECE;
      throw new WattkeepError('READING_ENDED', 'The answer broke off.', 'Ask again.');
    });
    const bytes = await stage.raw(`GET ${PATH} HTTP/1.1\r\nHost: 127.0.0.1:${stage.server.port}\r\n\r\n`);
    expect(bytes).toMatch(/^HTTP\/1\.1 200 OK\r\n/);
    expect(bytes.length).toBeGreaterThan(PIECE.length);
    expect(bytes.endsWith(CHUNKS_END)).toBe(false);
    await expect(fetch(new URL(PATH, stage.server.url)).then(answer => answer.text())).rejects.toThrow();
    expect(stage.told.filter(([what]) => what === 'log error')).toHaveLength(2);
  });

  it('that break off reset the connection where there are no chunks, as in HTTP/1.0', async () => {
    let go: () => void = () => undefined;
    const sent = new Promise<void>(resolve => {
      go = resolve;
    });
    await staged(async function* () {
      yield PIECE;
      await sent;
      throw new WattkeepError('READING_ENDED', 'The answer broke off.', 'Ask again.');
    });
    const code = await new Promise(resolve => {
      const socket = connect(stage.server.port, '127.0.0.1', () =>
        socket.write(`GET ${PATH} HTTP/1.0\r\nHost: 127.0.0.1:${stage.server.port}\r\n\r\n`),
      );
      socket.on('data', () => go());
      socket.on('error', error => resolve('code' in error ? error.code : ''));
      socket.on('end', () => resolve('ended as if it were whole'));
    });
    expect(code).toBe('ECONNRESET');
  });

  it('are let go with a client that takes nothing for a minute, and made no faster than it takes them', async () => {
    let made = 0;
    const { givenUp } = await staged(async function* () {
      for (;;) {
        made++;
        yield PIECE;
      }
    });
    const socket = connect(stage.server.port, '127.0.0.1', () =>
      socket.write(`GET ${PATH} HTTP/1.1\r\nHost: 127.0.0.1:${stage.server.port}\r\n\r\n`),
    );
    socket.pause();
    let before = -1;
    while (made !== before || made === 0) {
      before = made;
      await new Promise(resolve => setTimeout(resolve, 100));
    }
    // What the system itself holds for the two ends of a connection.
    expect(made * PIECE.length).toBeLessThan(32e6);
    stage.clock.advance(59_000);
    expect((await stage.get('/healthz')).status).toBe(200);
    expect(made).toBe(before);
    stage.clock.advance(1_000);
    await givenUp;
    socket.destroy();
    expect(stage.told.filter(([what]) => what === 'log error')).toEqual([]);
  });

  it('are given up at once where the client goes while the first of it is being made', async () => {
    const { givenUp } = await staged(async function* () {
      yield* [];
      await givenUp;
    });
    const socket = connect(stage.server.port, '127.0.0.1', () =>
      socket.write(`GET ${PATH} HTTP/1.1\r\nHost: 127.0.0.1:${stage.server.port}\r\n\r\n`, () =>
        setTimeout(() => socket.destroy(), 50),
      ),
    );
    await givenUp;
  });
});
