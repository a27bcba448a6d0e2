import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { brotliDecompressSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { loadSite, takesBrotli } from '../../agent/server/site.ts';
import { SHELL, type Stage, stageServer } from '../support/server-stage.ts';

let stage: Stage;
beforeAll(async () => {
  stage = await stageServer();
});
afterAll(() => stage.close());

describe('the page', () => {
  it('comes plain, or compressed where the browser takes it, each with a tag of its own', async () => {
    const plain = await stage.get('/');
    expect([plain.status, plain.body, plain.headers.etag]).toEqual([200, SHELL, '"e1"']);
    const br = await stage.get('/', { 'accept-encoding': 'gzip, deflate, br, zstd' });
    expect([br.headers['content-encoding'], br.headers.etag, br.headers.vary]).toEqual([
      'br',
      '"e1-br"',
      'Accept-Encoding, Cookie',
    ]);
    expect(brotliDecompressSync(Buffer.from(br.body, 'latin1')).toString()).toBe(SHELL);
  });

  it('answers a step below a view that has pages of its own, and nowhere else', async () => {
    expect((await stage.get('/ledger/2026-07-03')).body).toBe(SHELL);
    const nowhere = [
      '/pair/2026-07-03',
      '/x/y',
      '/ledger/',
      '/ledger/a/b',
      '/ledger/..',
      '/ledger/%2e',
      '/app-1a2b.js/x',
    ];
    const statuses = await Promise.all(nowhere.map(async path => (await stage.get(path)).status));
    expect(new Set(statuses)).toEqual(new Set([404]));
  });

  it('is not sent again to a browser that has it', async () => {
    const answer = await stage.get('/', { 'if-none-match': 'W/"x", "e1"' });
    expect([answer.status, answer.body, answer.headers.etag]).toEqual([304, '', '"e1"']);
    expect((await stage.get('/', { 'if-none-match': '"e1"', 'accept-encoding': 'br' })).status).toBe(200);
  });

  it('is asked about each time, while files with a hash in their name are kept for ever', async () => {
    expect((await stage.get('/')).headers['cache-control']).toBe('no-cache');
    const script = await stage.get('/app-1a2b.js?from=elsewhere');
    expect(script.headers['cache-control']).toBe('public, max-age=31536000, immutable');
    expect(script.headers['content-type']).toBe('text/javascript; charset=utf-8');
  });

  it('allows scripts, styles and connections of this server only, and inline only what the build hashed', async () => {
    expect((await stage.get('/')).headers['content-security-policy']).toBe(
      "default-src 'none'; script-src 'self'; " +
        "style-src 'self' 'sha256-47DEQpj8HBSa+/TImW+5JCeuQeRkm5NMpJWZG3hSuFU='; font-src 'self'; " +
        "img-src 'self' data:; connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    );
  });
});

describe('Accept-Encoding', () => {
  it.each([
    ['br', true],
    ['gzip;q=1, BR;q=0.5', true],
    ['br;q=0', false],
    ['br;q=0.000', false],
    ['brotli', false],
    ['', false],
  ])('%j takes brotli: %s', (header, takes) => {
    expect(takesBrotli(header)).toBe(takes);
  });
});

describe('a manifest', () => {
  it.each(['../canary.txt', '/etc/passwd', 'a/b.html', '.env', '..'])('that names %j is refused', async file => {
    const dir = mkdtempSync(join(tmpdir(), 'wattkeep-site-'));
    const files = { '/': { file, type: 'text/html', etag: 'x' } };
    writeFileSync(join(dir, 'manifest.json'), JSON.stringify({ files }));
    await expect(loadSite(dir)).rejects.toMatchObject({ code: 'INTERNAL' });
  });
});

describe('the light the owner chose', () => {
  const night = { cookie: 'other=1; wattkeep.light=night' };

  it('is in the page already when it comes, plain and compressed, under a tag of its own', async () => {
    const lit = SHELL.replace('<html lang="en"', '<html lang="en" data-light="night"');
    expect(lit).not.toBe(SHELL);
    const plain = await stage.get('/', night);
    expect([plain.body, plain.headers.etag, plain.headers.vary]).toEqual([
      lit,
      '"e1-night"',
      'Accept-Encoding, Cookie',
    ]);
    const br = await stage.get('/', { ...night, 'accept-encoding': 'br' });
    expect(brotliDecompressSync(Buffer.from(br.body, 'latin1')).toString()).toBe(lit);
    expect((await stage.get('/', { ...night, 'if-none-match': '"e1-night"' })).status).toBe(304);
    expect((await stage.get('/', { ...night, 'if-none-match': '"e1"' })).status).toBe(200);
  });

  it.each(['wattkeep.light=noon', 'wattkeep.light=', 'wattkeep.light="><script>', 'xwattkeep.light=night', ''])(
    'is none of ours in the cookie %j',
    async cookie => {
      expect((await stage.get('/', { cookie })).body).toBe(SHELL);
    },
  );

  it('changes no other file', async () => {
    const [lit, plain] = [await stage.get('/app-1a2b.js', night), await stage.get('/app-1a2b.js')];
    expect([lit.body, lit.headers.etag]).toEqual([plain.body, plain.headers.etag]);
  });
});
