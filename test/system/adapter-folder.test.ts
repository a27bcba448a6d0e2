/**
 * An owner's adapter in a running agent: found without a restart, held until it is approved, stopped when its file
 * changes, told by the API in the words the page uses.
 */
import { spawnSync } from 'node:child_process';
import { mkdirSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { setTimeout as pause } from 'node:timers/promises';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import type { OwnAdaptersAnswer } from '#messages';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { built } from '../support/built.ts';
import { ownAdapter } from '../support/own-shelf.ts';

interface Now {
  reading: { quantities: Record<string, number | null> } | null;
  status: { phase: string; failure?: string; detail?: string };
}

/** Says one byte a line: the percent 42. */
const PRINTER = JSON.stringify([process.execPath, '-e', `setInterval(() => process.stdout.write('*\\n'), 100)`]);

let folders: Folders;
let agent: AgentProcess;

beforeEach(() => {
  folders = freshFolders(`[[station]]\nid = "shed"\nname = "Honey shed"\nadapter = "bee-box"\n
transport = { kind = "process", command = ${PRINTER} }\n`);
  mkdirSync(join(folders.dir, 'adapters'));
});
afterEach(async () => {
  await agent?.end('SIGKILL');
  folders.remove();
});

const put = (text: string, name = 'bee-box.ts') => writeFileSync(join(folders.dir, 'adapters', name), text);
const now = () => agent.api<Now>('api/stations/shed/now');
const own = async () => (await agent.api<OwnAdaptersAnswer>('api/own-adapters')).adapters;
const post = (path: string, body: unknown) => agent.change('POST', path, body);

async function until<T>(ask: () => Promise<T>, pleases: (answer: T) => boolean): Promise<T> {
  for (const endMs = performance.now() + 40_000; ; await pause(100)) {
    const answer = await ask();
    if (pleases(answer)) return answer;
    if (performance.now() > endMs) throw new Error(`still: ${JSON.stringify(answer)}`);
  }
}

describe("an owner's adapter", () => {
  it('waits, is approved, reads, stops when its file changes, and reads again', { timeout: 180_000 }, async () => {
    put(ownAdapter());
    agent = await startAgentProcess(folders);
    expect((await until(now, n => n.status.failure !== undefined)).status).toMatchObject({
      phase: 'parked',
      failure: 'adapterAsks',
      detail: 'bee-box.ts',
    });
    const [shown] = await own();
    expect(shown).toMatchObject({ state: 'asks', id: 'bee-box', title: 'Bee box', version: '1', requests: [] });

    const wrong = await post('api/own-adapters/approve', { file: 'bee-box.ts', sha256: '0'.repeat(64) });
    expect(wrong.status).toBe(403);
    expect(await wrong.json()).toMatchObject({ error: { code: 'REQUEST_REFUSED' } });
    expect((await post('api/own-adapters/approve', { file: 'bee-box.ts', sha256: shown!.sha256 })).status).toBe(200);
    const live = await until(now, n => n.status.phase === 'live');
    expect(live.reading?.quantities.stateOfChargePct).toBe(42);

    put(ownAdapter('bee-box', { version: '2' }));
    expect((await until(now, n => n.status.phase === 'parked')).status.failure).toBe('adapterChanged');

    // From a shell beside the running agent.
    const words = ['adapter', 'approve', 'bee-box', '--data', folders.data, '--settings', folders.settings];
    const approved = spawnSync(process.execPath, [built('program/main.js'), ...words], { encoding: 'utf8' });
    expect(approved.stdout).toMatch(/Bee box, version 2 \(bee-box\.ts\): approved/);
    await until(now, n => n.status.phase === 'live');

    put('export default {{{');
    expect((await until(now, n => n.status.failure === 'adapterBroken')).status.detail).toMatch(/bee-box\.ts, line 1/);
    put(ownAdapter('bee-box', { version: '2' }));
    await until(now, n => n.status.phase === 'live');

    rmSync(join(folders.dir, 'adapters/bee-box.ts'));
    await until(now, n => n.status.failure === 'adapterMissing');
  });

  it('that is dropped into a folder made later is found without a restart, and may be named in the settings', async () => {
    rmSync(join(folders.dir, 'adapters'), { recursive: true });
    writeFileSync(folders.settings, '');
    agent = await startAgentProcess(folders, ['--no-demo']);
    expect(await own()).toEqual([]);
    mkdirSync(join(folders.dir, 'adapters'));
    put(ownAdapter('hive'), 'hive.js');
    expect(await until(own, list => list.length > 0)).toMatchObject([{ state: 'broken' }]);
    put(ownAdapter('hive'), 'hive.ts');
    await until(own, list => list.some(({ id }) => id === 'hive'));
    const { adapters } = await agent.api<{ adapters: { id: string }[] }>('api/adapters');
    expect(adapters.map(({ id }) => id)).toContain('hive');
  });

  it('that nobody has ever seen keeps the agent from starting, with the folder to put it into', async () => {
    await expect(startAgentProcess(folders)).rejects.toThrow(/there is no adapter "bee-box"[\s\S]*adapters\./);
  });
});
