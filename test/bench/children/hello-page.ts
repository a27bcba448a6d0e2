/** The floor of the page: the agent's own server with a page that says hello. Argument: an empty folder for the page. */
import { writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync } from 'node:zlib';
import { serverClock } from '../../../agent/commands/surroundings.ts';
import { stageServer } from '../../support/server-stage.ts';

const siteDir = process.argv[2] ?? '';
const HELLO = '<!doctype html><html lang="en"><meta charset="utf-8"><title>hello</title><h1>Hello.</h1></html>';
writeFileSync(join(siteDir, 'index.html'), HELLO);
writeFileSync(join(siteDir, 'index.html.br'), brotliCompressSync(HELLO));
const files = { '/': { file: 'index.html', br: 'index.html.br', type: 'text/html; charset=utf-8', etag: 'e1' } };
writeFileSync(join(siteDir, 'manifest.json'), JSON.stringify({ files, csp: {} }));

const stage = await stageServer({ siteDir, clock: serverClock });
console.log(stage.server.url);
process.once('SIGTERM', () => {
  void stage.close().then(() => process.exit());
});
