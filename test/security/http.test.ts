import { symlinkSync } from 'node:fs';
import { connect } from 'node:net';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { CANARY, type Stage, stageServer, tapLive } from '../support/server-stage.ts';

let stage: Stage;
let host: string;
beforeEach(async () => {
  stage = await stageServer({ limits: { headersTimeoutMs: 60, requestTimeoutMs: 120, checkEveryMs: 10 } });
  host = `127.0.0.1:${stage.server.port}`;
});
afterEach(() => stage.close());

const statusOf = (raw: string) => Number(/^HTTP\/1\.1 (\d{3}) /.exec(raw)?.[1]);
const typed = { inputPowerW: 1, outputPowerW: 1, stateOfChargePct: 1 };

describe('a page of a foreign site', () => {
  it('that had its name pointed here gets nothing: not the page, not data, not the live socket', async () => {
    const rebound = { host: `rebind.test:${stage.server.port}` };
    for (const path of ['/', '/app-1a2b.js', '/api/stations', '/nowhere']) {
      const answer = await stage.get(path, rebound);
      expect([answer.status, answer.body]).toEqual([421, '']);
    }
    const live = tapLive(`ws://${host}/live`, `http://${rebound.host}`, rebound);
    expect(await live.status).toBe(421);
    expect(stage.server.refused()).toEqual({ host: 5 });
  });

  it.each([undefined, 'null', 'http://evil.test', 'http://localhost.evil.test', 'http://127.0.0.1:1'])(
    'cannot open the live socket from origin %s',
    async origin => {
      expect(await tapLive(`ws://${host}/live`, origin).status).toBe(403);
      expect(stage.server.clients()).toBe(0);
      expect(stage.server.refused()).toEqual({ origin: 1 });
    },
  );

  it('cannot change anything', async () => {
    const path = '/api/stations/shed/typed';
    const attempts = [
      stage.change('POST', path, typed, { origin: 'http://evil.test' }),
      stage.change('POST', path, typed, { origin: '' }),
      stage.change('POST', path, typed, { origin: 'http://evil.test', 'content-type': 'text/plain', 'x-wattkeep': '' }),
      stage.change('POST', path, typed, { 'x-wattkeep': '' }),
      stage.change('POST', path, typed, { 'content-type': 'text/plain' }),
      stage.change('POST', path, typed, { host: `rebind.test:${stage.server.port}` }),
    ];
    expect((await Promise.all(attempts)).map(a => a.status)).toEqual([403, 403, 403, 403, 415, 421]);
    expect(stage.told).toEqual([]);
  });

  it('is never granted a preflight, nor any other leave to read', async () => {
    const preflight = await stage.ask('OPTIONS', '/api/settings', {
      origin: 'http://evil.test',
      'access-control-request-method': 'PUT',
      'access-control-request-headers': 'content-type,x-wattkeep',
    });
    expect(preflight.status).toBe(405);
    const answers = [preflight, await stage.get('/api/stations'), await stage.get('/'), await stage.get('/x')];
    for (const { headers } of answers) {
      expect(Object.keys(headers).filter(name => name.startsWith('access-control'))).toEqual([]);
    }
  });

  it('learns nothing from headers that only a proxy would set', async () => {
    const forwarded = { 'x-forwarded-host': host, 'x-forwarded-for': '127.0.0.1', host: 'rebind.test' };
    expect((await stage.get('/', forwarded)).status).toBe(421);
  });
});

describe('every answer', () => {
  it('carries the defences, refusals included', async () => {
    const answers = [
      await stage.get('/'),
      await stage.get('/nowhere'),
      await stage.get('/api/stations'),
      await stage.get('/api/nowhere'),
      await stage.get('/', { host: 'rebind.test' }),
    ];
    for (const { headers } of answers) {
      expect(headers).toMatchObject({
        'content-security-policy': expect.stringContaining("frame-ancestors 'none'"),
        'x-content-type-options': 'nosniff',
        'referrer-policy': 'no-referrer',
        'cross-origin-resource-policy': 'same-origin',
      });
    }
  });
});

describe('a path made to leave the page', () => {
  it.each([
    '/../canary.txt',
    '/../../../../etc/passwd',
    '/%2e%2e%2fcanary.txt',
    '/%252e%252e%252fcanary.txt',
    '/..%5ccanary.txt',
    '/..\\canary.txt',
    '/app-1a2b.js/../unlisted.txt',
    '/unlisted.txt',
    '/manifest.json',
    '/index.html.br',
    '//etc/passwd',
    '/./',
    '/%00',
    '/.git/config',
    '/package.json',
    '/app-1a2b.js.map',
    '/link.txt',
    '/\u2215..\u2215canary.txt',
    '/__proto__',
    '/constructor',
    `/${'a/'.repeat(2000)}`,
    '/api/stations/../../canary.txt',
    '/api/stations/%2e%2e/now',
  ])('reads nothing: %s', async path => {
    symlinkSync(join(stage.dir, 'canary.txt'), join(stage.dir, 'link.txt'));
    const raw = await stage.raw(
      Buffer.from(`GET ${path} HTTP/1.1\r\nHost: ${host}\r\nConnection: close\r\n\r\n`, 'utf8'),
    );
    expect([400, 404]).toContain(statusOf(raw));
    expect(raw).not.toContain(CANARY);
    expect(raw).not.toContain('root:');
  });
});

describe('a malformed request', () => {
  it.each([
    ['no host', 'GET / HTTP/1.1\r\nConnection: close\r\n\r\n', [400, 421]],
    ['two hosts', 'GET / HTTP/1.1\r\nHost: HOST\r\nHost: evil.test\r\nConnection: close\r\n\r\n', [400, 421]],
    ['an absolute target', 'GET http://evil.test/ HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n', [400]],
    ['TRACE', 'TRACE / HTTP/1.1\r\nHost: HOST\r\nConnection: close\r\n\r\n', [405]],
    ['an unknown verb', 'HONEY / HTTP/1.1\r\nHost: HOST\r\n\r\n', [400]],
    ['two lengths', 'POST / HTTP/1.1\r\nHost: HOST\r\nContent-Length: 1\r\nContent-Length: 2\r\n\r\nab', [400]],
    [
      'a length and chunks',
      'POST / HTTP/1.1\r\nHost: HOST\r\nContent-Length: 1\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n',
      [400],
    ],
    ['a header over the ceiling', `GET / HTTP/1.1\r\nHost: HOST\r\nX: ${'a'.repeat(9000)}\r\n\r\n`, [431]],
    ['bytes that are no request', '\u0016\u0003\u0001\u0000\u0001', [400]],
  ])('with %s is refused', async (_what, text, statuses) => {
    expect(statuses).toContain(statusOf(await stage.raw(text.replaceAll('HOST', host))));
  });

  it('with CONNECT is cut off', async () => {
    expect(await stage.raw(`CONNECT evil.test:443 HTTP/1.1\r\nHost: ${host}\r\n\r\n`)).toBe('');
  });

  it('whose header never ends is closed at the deadline', async () => {
    const raw = await stage.raw(`GET / HTTP/1.1\r\nHost: ${host}\r\nX-Slow: `);
    expect(statusOf(raw)).toBe(408);
    expect(stage.server.refused()).toEqual({ request: 1 });
  });

  it('whose body never ends is closed at the deadline', async () => {
    const raw = await stage.raw(
      `POST /api/stations/shed/typed HTTP/1.1\r\nHost: ${host}\r\nOrigin: http://${host}\r\nX-Wattkeep: 1\r\n` +
        `Cookie: ${stage.cookie}\r\n` +
        'Content-Type: application/json\r\nContent-Length: 100\r\n\r\n{',
    );
    expect(statusOf(raw)).toBe(408);
    expect(stage.told).toEqual([]);
  });
});

describe('a body over the ceiling', () => {
  it('is refused by its stated length alone', async () => {
    const answer = await stage.change('POST', '/api/stations/shed/typed', `"${'x'.repeat(66_000)}"`);
    expect(answer.status).toBe(413);
    expect(answer.headers.connection).toBe('close');
  });

  it('is refused as soon as its chunks pass it, without waiting for their end', async () => {
    const chunk = `4000\r\n${'x'.repeat(0x4000)}\r\n`;
    const raw = await stage.raw(
      `POST /api/stations/shed/typed HTTP/1.1\r\nHost: ${host}\r\nOrigin: http://${host}\r\nX-Wattkeep: 1\r\n` +
        `Cookie: ${stage.cookie}\r\n` +
        `Content-Type: application/json\r\nTransfer-Encoding: chunked\r\n\r\n${chunk.repeat(5)}`,
    );
    expect(statusOf(raw)).toBe(413);
    expect(stage.server.refused()).toEqual({ body: 1 });
  });
});

describe('more connections than the ceiling', () => {
  it('are dropped and counted, and those within it go on', async () => {
    await stage.close();
    stage = await stageServer({ limits: { connections: 3 } });
    const tap = stage.open();
    await tap.until(m => m.type === 'hello');
    const sockets = Array.from({ length: 6 }, () => connect(stage.server.port, '127.0.0.1'));
    const ends = sockets.map(
      s =>
        new Promise<void>(resolve => {
          s.on('error', () => s.destroy());
          s.on('close', () => resolve());
        }),
    );
    await Promise.race(ends);
    tap.subscribe();
    await tap.until(m => m.type === 'status');
    for (const s of sockets) s.destroy();
    await Promise.all(ends);
    expect(stage.server.refused().connections).toBeGreaterThanOrEqual(1);
  });
});
