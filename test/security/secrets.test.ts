/** Every secret that a run of the real agent gave or was given, looked for wherever it might have been left. */
import { readdirSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { HereLinkAnswer, InvitationAnswer, PairAnswer, SharingAnswer, TokenAnswer } from '#messages';
import { readDoor } from '../../agent/sharing/index.ts';
import { type AgentProcess, type Folders, freshFolders } from '../support/agent-process.ts';
import { startYardAgent, tellAgent, verb, yardPost, yardUrl } from '../support/yard-agent.ts';

const SETTINGS = '[log]\nlevel = "debug"\n[server]\nlan = "yard0"\n';
let folders: Folders;
let agent: AgentProcess;
/** By what it is. */
const secrets = new Map<string, string>();

/** Every file below a folder. */
const filesIn = (dir: string): string[] =>
  readdirSync(dir, { recursive: true, withFileTypes: true })
    .filter(entry => entry.isFile())
    .map(entry => join(entry.parentPath, entry.name));

/** What the system tells of a process; '' where it has ended meanwhile. */
function toldBy(pid: number, place: 'stat' | 'cmdline' | 'environ'): string {
  try {
    return readFileSync(`/proc/${pid}/${place}`, 'latin1');
  } catch (cause) {
    if (typeof (cause as NodeJS.ErrnoException).code === 'string') return '';
    throw cause;
  }
}

/** The agent and all that it started. */
function family(pid: number): number[] {
  const pids = readdirSync('/proc').map(Number).filter(Number.isInteger);
  const parents = pids.map(one => [one, Number(/\) \S (\d+)/.exec(toldBy(one, 'stat'))?.[1])] as const);
  const found = [pid];
  for (let i = 0; i < found.length; i++)
    for (const [child, parent] of parents) if (parent === found[i]) found.push(child);
  return found;
}

const foundIn = (text: string): string[] =>
  [...secrets].filter(([, secret]) => text.includes(secret)).map(([what]) => what);

describe.runIf(process.platform === 'linux')('a secret', () => {
  beforeAll(async () => {
    folders = freshFolders(SETTINGS);
    agent = await startYardAgent(folders);
    secrets.set('printed link', (await agent.link).split('#')[1]!);
    secrets.set('laptop session', (await agent.cookie()).split('=')[1]!);
    secrets.set('secret of the run', readDoor(folders.data)!.token);
    const invitation = await tellAgent<InvitationAnswer>(folders, '/invitation', {});
    secrets.set('link of a phone', invitation.link.split('#')[1]!);
    secrets.set('code of a phone', invitation.code);
    const asked = (await (
      await yardPost(agent, 'pair', { secret: invitation.code, name: 'Phone' })
    ).json()) as PairAnswer;
    secrets.set('asking', asked.request!);
    const [who] = (await tellAgent<SharingAnswer>(folders, '')).waiting;
    await tellAgent(folders, '/decision', { request: who!.id, scope: 'view' });
    const told = await yardPost(agent, 'pair', { request: asked.request });
    const cookie = told.headers.getSetCookie()[0]!.split(';')[0]!;
    secrets.set('phone session', cookie.split('=')[1]!);
    secrets.set('script', (await tellAgent<TokenAnswer>(folders, '/tokens', { name: 'x', scope: 'view' })).token);
    secrets.set('link here', (await tellAgent<HereLinkAnswer>(folders, '/here-link', {})).link.split('#')[1]!);
    // All that goes wrong with one in hand: refused, mistyped, in the wrong place, in a broken request.
    await yardPost(agent, 'api/scan', { forS: 1 }, cookie);
    await yardPost(agent, 'pair', { secret: `${invitation.code}X`, name: secrets.get('script') });
    await fetch(new URL(`api/stations?token=${secrets.get('script')}`, yardUrl(agent)));
    await fetch(new URL(`api/${secrets.get('script')}`, agent.url), {
      headers: { authorization: `Bearer ${secrets.get('script')}` },
    });
    verb(folders, 'token', 'list');
  });
  afterAll(async () => {
    await agent?.end('SIGKILL');
    folders?.remove();
  });

  it('stands in no log and on no terminal but where it was asked for', () => {
    const logs = filesIn(join(folders.data, 'log'));
    expect(logs.length).toBeGreaterThan(0);
    for (const log of logs) expect([log, foundIn(readFileSync(log, 'utf8'))]).toEqual([log, []]);
    expect(agent.complaints()).toContain('a phone waits for the owner');
    expect(foundIn(agent.complaints())).toEqual([]);
  });

  it('stands in no file but the one of this run, which its owner alone may read', () => {
    for (const file of filesIn(folders.dir)) {
      const isDoor = file === join(folders.data, 'running.json');
      expect([file, foundIn(readFileSync(file, 'latin1'))]).toEqual([file, isDoor ? ['secret of the run'] : []]);
      if (file.startsWith(folders.data)) expect([file, statSync(file).mode & 0o077]).toEqual([file, 0]);
    }
  });

  it('stands in no command line and no environment of the agent or of anything it started', () => {
    const processes = family(agent.child.pid!);
    expect(processes.length).toBeGreaterThan(1);
    for (const pid of processes)
      for (const place of ['cmdline', 'environ'] as const) {
        expect([pid, place, foundIn(toldBy(pid, place))]).toEqual([pid, place, []]);
      }
  });
});
