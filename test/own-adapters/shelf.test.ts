import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { ownAdapter, ownShelf } from '../support/own-shelf.ts';

const NOW = Date.parse('2026-06-01T10:00:00Z');

let stage: ReturnType<typeof ownShelf>;
beforeEach(() => {
  stage = ownShelf();
});
afterEach(() => stage.close());

/** The one adapter of the folder, looked at now. */
async function only() {
  await stage.shelf.look();
  const [adapter, ...others] = stage.shelf.list();
  expect(others).toEqual([]);
  return adapter!;
}

describe("an owner's adapter in the folder", () => {
  it('is shown with its name, version, hash and needs, and does not run before it is approved', async () => {
    const source = ownAdapter('bee-box', { more: "requests: [{ name: 'level?', bytes: '01 03' }]," });
    stage.put('bee-box.ts', source);
    const adapter = await only();
    expect(adapter).toMatchObject({
      file: 'bee-box.ts',
      state: 'asks',
      id: 'bee-box',
      sha256: createHash('sha256').update(source).digest('hex'),
      place: null,
      approved: null,
      manifest: { title: 'Bee box', version: '1', transports: ['process', 'serial'] },
    });
    expect(adapter.manifest?.requests).toEqual([{ name: 'level?', bytes: '01 03' }]);
  });

  it('runs once it is approved: as one file with the kit inside, that imports nothing', async () => {
    stage.put('bee-box.ts', ownAdapter());
    const { sha256 } = await only();
    expect(stage.shelf.approve('bee-box.ts', sha256, NOW)).toBe('approved');
    const { state, place, approved } = await only();
    expect([state, approved?.approvedAt]).toEqual(['approved', '2026-06-01T10:00:00.000Z']);
    const made = readFileSync(place!, 'utf8');
    expect(made).not.toMatch(/^import /m);
    expect(made).toMatch(/Bee box/);
    expect(await stage.host.manifestOf(place!)).toMatchObject({ id: 'bee-box' });
  });

  it('asks again when a byte of it changes, and stops until then', async () => {
    stage.put('bee-box.ts', ownAdapter());
    stage.shelf.approve('bee-box.ts', (await only()).sha256, NOW);
    stage.put('bee-box.ts', `${ownAdapter()}// better\n`);
    const changed = await only();
    expect([changed.state, changed.place, changed.approved?.file]).toEqual(['changed', null, 'bee-box.ts']);
    stage.put('bee-box.ts', ownAdapter());
    expect((await only()).state).toBe('approved');
  });

  it('is approved only as it was shown', async () => {
    stage.put('bee-box.ts', ownAdapter());
    const shown = await only();
    stage.put('bee-box.ts', ownAdapter('bee-box', { version: '2' }));
    await stage.shelf.look();
    expect(stage.shelf.approve('bee-box.ts', shown.sha256, NOW)).toBe('changed');
    expect(stage.shelf.approve('nobody.ts', shown.sha256, NOW)).toBe('gone');
    expect((await only()).state).toBe('asks');
  });

  it('stays approved over restarts and under another name of the same bytes', async () => {
    stage.put('bee-box.ts', ownAdapter());
    stage.shelf.approve('bee-box.ts', (await only()).sha256, NOW);
    stage.remove('bee-box.ts');
    stage.put('hive.ts', ownAdapter());
    const again = stage.open();
    await again.look();
    expect(again.list().map(({ file, state }) => [file, state])).toEqual([['hive.ts', 'approved']]);
    expect(again.pinned()).toEqual(['bee-box']);
  });

  it('asks everything again where the list of approvals is damaged', async () => {
    stage.put('bee-box.ts', ownAdapter());
    stage.shelf.approve('bee-box.ts', (await only()).sha256, NOW);
    writeFileSync(join(stage.dir, 'data/adapters/approved.json'), '[{"id":');
    expect((await only()).state).toBe('asks');
  });

  it('asks again where the same file tells another manifest, and is held to what was approved when it runs', async () => {
    // Its version is the minute it is loaded in: what was shown is not what runs.
    stage.put('bee-box.ts', ownAdapter().replace("version: '1'", 'version: String(Date.now())'));
    stage.shelf.approve('bee-box.ts', (await only()).sha256, NOW);
    const { place, manifest } = await only();
    expect(stage.shelf.allows(place!, manifest!)).toBe(true);
    expect(stage.shelf.allows(place!, { ...manifest!, version: '2' })).toBe(false);
    const again = stage.open();
    await again.look();
    expect(again.list()[0]?.state).toBe('changed');
    expect(again.allows(place!, manifest!)).toBe(false);
  });

  it('leaves no made file behind that nothing leads to', async () => {
    stage.put('bee-box.ts', ownAdapter());
    await only();
    stage.put('bee-box.ts', ownAdapter('bee-box', { version: '2' }));
    await only();
    expect(readdirSync(join(stage.dir, 'data/adapters/made'))).toHaveLength(1);
  });
});

describe('what cannot be an adapter is told in words that name the file', () => {
  it.each([
    [
      'an import of Node',
      `import fs from 'node:fs'; console.log(fs);`,
      /bad\.ts, line 1: "node:fs" cannot be imported/,
    ],
    ['an import of another file', `import x from './other.ts'; console.log(x);`, /"\.\/other\.ts" cannot be imported/],
    [
      'a package',
      `export { default } from 'lodash';`,
      /"lodash" cannot be imported: an adapter uses nothing but "wattkeep\/kit"/,
    ],
    ['an import at run time', `export default await import('node:net');`, /"node:net" cannot be imported/],
    ['no TypeScript', 'export default {{{', /bad\.ts, line 1: Expected/],
    ['no default export', 'export const adapter = 1;', /bad\.ts: it has no default export/],
    [
      'a name the kit does not have',
      `import { nothing } from 'wattkeep/kit'; export default nothing;`,
      /bad\.ts, line 1: No matching export/,
    ],
    ['an endless loop', 'for (;;) {}', /bad\.ts: it does not come to an end/],
    ['a promise that never settles', 'await new Promise(() => {}); export default 1;', /bad\.ts: it does not come/],
    ['an exit', `process.exit(3)`, /bad\.ts: it exited with code 3/],
  ])('%s', async (_, source, words) => {
    stage.put('bad.ts', source);
    const { state, says } = await only();
    expect(state).toBe('broken');
    expect(says).toMatch(words);
  });

  it('an id that is taken', async () => {
    stage.put('a.ts', ownAdapter('lines'));
    stage.put('b.ts', ownAdapter('bee-box'));
    stage.put('c.ts', ownAdapter('bee-box', { version: '3' }));
    await stage.shelf.look();
    expect(stage.shelf.list().map(({ state, says }) => [state, says])).toEqual([
      ['broken', 'a.ts: its id "lines" is that of an adapter that comes with wattkeep; give it another'],
      ['asks', ''],
      ['broken', 'c.ts: its id "bee-box" is that of b.ts; give it another'],
    ]);
  });

  it('a file that is too large, and a folder with the name of one', async () => {
    stage.put('large.js', 'x'.repeat(300_000));
    expect((await only()).says).toBe('large.js has 300000 bytes, at most 262144');
  });
});

it('an approved adapter keeps its id against a newcomer that sorts before it', async () => {
  stage.put('m.ts', ownAdapter());
  stage.shelf.approve('m.ts', (await only()).sha256, NOW);
  stage.put('a.ts', ownAdapter('bee-box', { version: 'evil' }));
  await stage.shelf.look();
  expect(stage.shelf.list().map(({ file, state }) => [file, state])).toEqual([
    ['a.ts', 'broken'],
    ['m.ts', 'approved'],
  ]);
});
