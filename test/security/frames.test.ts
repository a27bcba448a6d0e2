import { randomFillSync } from 'node:crypto';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { liveReading, rawLive, type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeEach(async () => {
  stage = await stageServer();
});
afterEach(() => stage.close());

const TEXT = 0x1;
const PING = 0x9;
const CLOSE = 0x8;
const FIN = 0x80;
const RSV1 = 0x40;

/** A client frame as RFC 6455 section 5.2 lays it out; `first` is its first byte. */
function frame(first: number, payload: Buffer | string, masked = true): Buffer {
  const body = Buffer.from(payload);
  const head = body.length < 126 ? [body.length] : [126, body.length >> 8, body.length & 0xff];
  head[0]! |= masked ? 0x80 : 0;
  if (!masked) return Buffer.concat([Buffer.from([first, ...head]), body]);
  const mask = randomFillSync(Buffer.alloc(4));
  return Buffer.concat([Buffer.from([first, ...head]), mask, body.map((byte, i) => byte ^ mask[i % 4]!)]);
}

/** A frame that only announces its 64-bit length. */
const announced = (high: number, low: number) => {
  const head = Buffer.alloc(14);
  head[0] = FIN | TEXT;
  head[1] = 0x80 | 127;
  head.writeUInt32BE(high, 2);
  head.writeUInt32BE(low, 6);
  return head;
};

describe('a malformed frame', () => {
  const cases: [what: string, code: number, bytes: Buffer][] = [
    ['without a mask', 1002, frame(FIN | TEXT, '{}', false)],
    ['with a reserved bit', 1002, frame(FIN | RSV1 | TEXT, '{}')],
    ['with a reserved opcode', 1002, frame(FIN | 0x3, '{}')],
    ['with a reserved control opcode', 1002, frame(FIN | 0xb, '')],
    ['that splits a control message', 1002, frame(PING, 'x')],
    ['with a control payload over 125 bytes', 1002, frame(FIN | PING, 'x'.repeat(126))],
    ['that goes on with nothing begun', 1002, frame(FIN, '{}')],
    ['that begins anew inside a message', 1002, Buffer.concat([frame(TEXT, '{'), frame(FIN | TEXT, '}')])],
    ['that closes with a code nobody may send', 1002, frame(FIN | CLOSE, Buffer.from([0x03, 0xed]))],
    ['that closes with half a code', 1002, frame(FIN | CLOSE, Buffer.from([0x03]))],
    ['of text that is not UTF-8', 1007, frame(FIN | TEXT, Buffer.from([0x7b, 0xc3, 0x28, 0x7d]))],
    ['one byte over the ceiling', 1009, frame(FIN | TEXT, 'x'.repeat(4097))],
    ['that announces a gigabyte', 1009, announced(0, 0x40000000)],
    ['that announces 2^63 bytes', 1009, announced(0x80000000, 0)],
    [
      'over the ceiling only when put together',
      1009,
      Buffer.concat([frame(TEXT, 'x'.repeat(4000)), frame(FIN, 'x'.repeat(97))]),
    ],
  ];
  it.each(cases)('%s closes its socket with %i and no other', async (_what, code, bytes) => {
    const bystander = stage.open();
    await bystander.until(m => m.type === 'hello');
    bystander.subscribe();
    const raw = await rawLive(stage.server.port);
    raw.socket.write(bytes);
    expect(await raw.closeCode).toBe(code);
    stage.server.publish(liveReading(1));
    await bystander.until(m => m.type === 'reading' && m.reading.seq === 1);
    await expect.poll(() => stage.server.clients()).toBe(1);
  });

  it('in ten thousand empty pieces closes its socket', async () => {
    const raw = await rawLive(stage.server.port);
    const pieces = Array.from({ length: 10_000 }, (_, i) => frame(i === 0 ? TEXT : 0, ''));
    raw.socket.write(Buffer.concat(pieces));
    expect(await raw.closeCode).toBe(1008);
  });

  it('never gets compression, even where it asks for it', async () => {
    const { port } = stage.server;
    const raw = stage.raw(
      `GET /live HTTP/1.1\r\nHost: 127.0.0.1:${port}\r\nOrigin: http://127.0.0.1:${port}\r\nConnection: Upgrade\r\n` +
        'Upgrade: websocket\r\nSec-WebSocket-Version: 13\r\nSec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==\r\n' +
        'Sec-WebSocket-Extensions: permessage-deflate; client_max_window_bits\r\n\r\n' +
        frame(FIN | CLOSE, '').toString('latin1'),
    );
    const answer = await raw;
    expect(answer).toMatch(/^HTTP\/1\.1 101 /);
    // The accept value is the one RFC 6455 section 1.3 works out for this key.
    expect(answer).toContain('Sec-WebSocket-Accept: s3pPLMBiTxaQ9kYGzzhZRbK+xOo=');
    expect(answer.toLowerCase()).not.toContain('sec-websocket-extensions');
  });
});
