/** Sharing by the command line: at the start, by its verbs, at the terminal, over a restart. Real processes. */
import { existsSync, readFileSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { afterEach, describe, expect, it } from 'vitest';
import type { InvitationAnswer, PairAnswer, SharingAnswer, TokenAnswer } from '#messages';
import { readDoor } from '../../agent/sharing/index.ts';
import { type AgentProcess, type Folders, freshFolders, startAgentProcess } from '../support/agent-process.ts';
import { needs } from '../support/needs.ts';
import {
  onNetworks,
  onTerminal,
  startYardAgent,
  type Terminal,
  verb,
  YARD,
  yardPost,
  yardUrl,
} from '../support/yard-agent.ts';

/** For a machine that does much else. */
const LONG = { timeout: 30_000 };

const running: AgentProcess[] = [];
const terminals: Terminal[] = [];
const made: Folders[] = [];
const folders = (toml = '') => {
  const fresh = freshFolders(toml);
  made.push(fresh);
  return fresh;
};
const start = async (at: Folders, args: readonly string[] = ['--no-demo']) => {
  const agent = await startYardAgent(at, args);
  running.push(agent);
  return agent;
};
afterEach(async () => {
  await Promise.all(running.splice(0).map(agent => agent.end('SIGKILL')));
  const onTerminals = made.map(at => readDoor(at.data)?.pid);
  await Promise.all(terminals.splice(0).map(terminal => terminal.end()));
  await Promise.all(onTerminals.map(gone));
  for (const at of made.splice(0)) at.remove();
});

/** Ends an agent that lost its terminal and still saves, and waits until it is gone. */
async function gone(pid: number | undefined): Promise<void> {
  for (let tries = 0; pid !== undefined && tries < 200 && end(pid); tries++)
    await new Promise(resolve => setTimeout(resolve, 50));
}

/** False where there is no such process any more. */
function end(pid: number): boolean {
  try {
    return process.kill(pid, 'SIGKILL');
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code === 'ESRCH') return false;
    throw cause;
  }
}

const isReached = (agent: AgentProcess) =>
  fetch(new URL('healthz', yardUrl(agent))).then(
    async answer => (await answer.text()) === 'ok\n',
    () => false,
  );
const pairAnswer = async (answer: Response) => (await answer.json()) as PairAnswer;

describe('sharing on the home network', () => {
  it('is off: nothing listens but this machine, and the verbs say how it stands', async () => {
    const at = folders();
    const agent = await start(at);
    expect(await isReached(agent)).toBe(false);
    expect(verb(at, 'share').stdout).toBe('Not shared: only this computer reaches it.\n');
    expect(verb(at, 'share', '--json').json()).toMatchObject({
      on: false,
      networks: [{ name: 'yard0', address: YARD }],
    });
    expect(verb(at, 'pair')).toMatchObject({ status: 1, stderr: expect.stringContaining('wattkeep share on') });
  });

  it('is switched on by its verb, remembered over a restart, and switched off again', async () => {
    const at = folders('[log]\nlevel = "warn" # keep this\n');
    let agent = await start(at);
    expect(verb(at, 'share', 'on').stdout).toContain(`Shared on yard0: ${yardUrl(agent)}`);
    expect(await isReached(agent)).toBe(true);
    expect(readFileSync(at.settings, 'utf8')).toMatch(/level = "warn" # keep this[\s\S]*lan = "yard0"/);
    await agent.end();
    agent = await start(at);
    expect(await isReached(agent)).toBe(true);
    // It goes on by itself: no code is printed into what may be a kept log.
    expect(agent.complaints()).toContain('Shared on yard0');
    expect(agent.complaints()).not.toMatch(/type\n/);
    expect(verb(at, 'share', 'off').stdout).toBe('Not shared: only this computer reaches it.\n');
    expect(await isReached(agent)).toBe(false);
    expect(readFileSync(at.settings, 'utf8')).not.toContain('lan');
  });

  it('is switched on at the start for that run alone, with the address and a code for a first phone', async () => {
    const at = folders();
    const agent = await start(at, ['--no-demo', '--lan']);
    await expect
      .poll(() => agent.complaints(), LONG)
      .toMatch(/open http:\/\/127\.0\.0\.2:\d+\/pair there and type\n\n {4}[0-9A-Z]{4}-[0-9A-Z]{4}\n/);
    expect(agent.complaints()).toContain('█▄▄▄▄▄▄▄█');
    expect(existsSync(at.settings) ? readFileSync(at.settings, 'utf8') : '').not.toContain('lan');
    expect(await isReached(agent)).toBe(true);
  });

  it('names all networks where there are several and none was chosen, and says where there is none', async () => {
    const two = onNetworks({ yard0: YARD, shed0: '127.0.0.3' });
    await expect(startAgentProcess(folders(), ['--no-demo', '--lan'], two)).rejects.toThrow(
      /ended with 2: .*several networks: yard0 \(127\.0\.0\.2\), shed0 \(127\.0\.0\.3\)/s,
    );
    await expect(startAgentProcess(folders(), ['--no-demo', '--lan', 'barn0'], two)).rejects.toThrow(
      /ended with 2: .*no network interface barn0.*There are: yard0/s,
    );
    const at = folders();
    const agent = await startAgentProcess(at, ['--no-demo', '--lan'], onNetworks({}));
    running.push(agent);
    await expect.poll(() => agent.complaints(), LONG).toContain('This computer is in no network now.');
    expect(verb(at, 'share', 'on')).toMatchObject({ status: 1, stderr: expect.stringContaining('in no network now') });
  });

  it('listens on every address only where that is spelled out, and lets those of a network in with a session alone', async () => {
    const at = folders();
    const agent = await start(at, ['--no-demo', '--host', '0.0.0.0']);
    expect(agent.url).toMatch(/^http:\/\/127\.0\.0\.1:/);
    expect((await fetch(new URL('api/stations', agent.url))).status).toBe(200);
    expect(verb(at, 'share', '--json').json()).toMatchObject({ on: true, fixed: true, addresses: [yardUrl(agent)] });
    expect(verb(at, 'share', 'off')).toMatchObject({ status: 1, stderr: expect.stringContaining('--host') });
  });
});

describe('the verbs of sharing', () => {
  it('say plainly where no agent runs, and where one ended without a word', async () => {
    const at = folders();
    for (const words of [['share'], ['pair'], ['token', 'list']]) {
      const { status, stderr } = verb(at, ...words);
      expect([status, stderr]).toEqual([1, expect.stringContaining(`No agent is running on ${at.data}.`)]);
    }
    const agent = await start(at);
    await agent.end('SIGKILL');
    expect(existsSync(join(at.data, 'running.json'))).toBe(true);
    expect(verb(at, 'share')).toMatchObject({ status: 1, stderr: expect.stringContaining('[AGENT_AWAY]') });
  });

  it('let a phone in: a code, who waits, the word, and the end', async () => {
    const at = folders();
    const agent = await start(at);
    verb(at, 'share', 'on');
    const { link, code, qr } = verb(at, 'pair', '--json').json<InvitationAnswer>();
    expect(link).toMatch(/^http:\/\/127\.0\.0\.2:\d+\/pair#[\w-]{22}$/);
    expect(qr.length).toBeGreaterThan(25);
    const asked = await pairAnswer(await yardPost(agent, 'pair', { secret: code, name: 'Phone in the yard' }));
    expect(asked).toMatchObject({ state: 'waiting' });
    const { waiting } = verb(at, 'pair', 'waiting', '--json').json<Pick<SharingAnswer, 'waiting'>>();
    expect(waiting).toMatchObject([{ name: 'Phone in the yard', words: asked.words }]);
    expect(verb(at, 'pair', 'waiting').stdout).toContain(asked.words);
    expect(verb(at, 'pair', 'allow', waiting[0]!.id)).toMatchObject({
      status: 2,
      stderr: expect.stringContaining('--scope'),
    });
    expect(verb(at, 'pair', 'allow', waiting[0]!.id, '--scope', 'view').stdout).toBe('“Phone in the yard” may look.\n');
    const told = await yardPost(agent, 'pair', { request: asked.request });
    const cookie = told.headers.getSetCookie()[0]!.split(';')[0]!;
    const stations = () => fetch(new URL('api/stations', yardUrl(agent)), { headers: { cookie } });
    expect((await stations()).status).toBe(200);
    expect((await yardPost(agent, 'api/scan', { forS: 1 }, cookie)).status).toBe(403);
    const { sessions } = verb(at, 'token', 'list', '--json').json<Pick<SharingAnswer, 'sessions'>>();
    expect(sessions).toMatchObject([{ name: 'Phone in the yard', scope: 'view', kind: 'browser', here: false }]);
    await agent.end();
    const again = await start(at);
    const later = () => fetch(new URL('api/stations', yardUrl(again)), { headers: { cookie } });
    expect((await later()).status).toBe(200);
    expect(verb(at, 'token', 'revoke', sessions[0]!.id).status).toBe(0);
    expect((await later()).status).toBe(401);
  });

  it('make a token for a script, shown once, and list it without it', async () => {
    const at = folders();
    const agent = await start(at);
    const made = verb(at, 'token', 'create', '--name', 'Kitchen display', '--json').json<
      TokenAnswer & { scope: string }
    >();
    expect(made).toMatchObject({ scope: 'view', token: expect.stringMatching(/^[\w-]{43}$/) });
    const authorization = `Bearer ${made.token}`;
    expect((await fetch(new URL('api/stations', agent.url), { headers: { authorization } })).status).toBe(200);
    expect(verb(at, 'token', 'list').stdout).toMatch(new RegExp(`^${made.id} +script +look .* Kitchen display\n$`));
    expect(verb(at, 'token', 'list', '--json').stdout).not.toContain(made.token);
    expect(verb(at, 'token', 'create')).toMatchObject({ status: 2 });
    expect(verb(at, 'token', 'create', '--name', 'x', '--scope', 'all')).toMatchObject({
      status: 2,
      stderr: expect.stringContaining('view, mark, change'),
    });
    expect(verb(at, 'token', 'revoke', 'nobody')).toMatchObject({ status: 1 });
  });

  it('print a new link for a browser of this machine, which then changes things; the one before is dead', async () => {
    const at = folders();
    const agent = await start(at);
    const first = (await agent.link).split('#')[1];
    const { link } = verb(at, 'pair', '--here', '--json').json<{ link: string }>();
    expect(link.startsWith(`${agent.url}pair#`)).toBe(true);
    const ask = (secret: string | undefined) => {
      const headers = { origin: agent.url.slice(0, -1), 'content-type': 'application/json', 'x-wattkeep': '1' };
      return fetch(new URL('pair', agent.url), { method: 'POST', headers, body: JSON.stringify({ secret, name: '' }) });
    };
    expect((await ask(first)).status).toBe(403);
    expect((await ask(link.split('#')[1])).status).toBe(200);
    expect((await ask(link.split('#')[1])).status).toBe(403);
  });

  it.each([
    [['share', 'maybe'], 'share takes on or off'],
    [['share', 'off', '--interface', 'yard0'], '--interface'],
    [['pair', 'allow'], 'pair allow'],
    [['token', 'mint'], 'create, list, revoke'],
    [['token'], ''],
  ])('refuse %j with 2', (words, says) => {
    const { status, stderr } = verb(folders(), ...words);
    expect([status, stderr]).toEqual([2, expect.stringContaining(says)]);
  });

  it('keep the secret of the run and the sessions to the owner alone, and take the first away at the end', async () => {
    const at = folders();
    const agent = await start(at);
    const modes = () =>
      ['running.json', 'sharing.json'].map(
        name => existsSync(join(at.data, name)) && statSync(join(at.data, name)).mode & 0o777,
      );
    verb(at, 'token', 'create', '--name', 'x');
    expect(modes()).toEqual([0o600, 0o600]);
    await agent.end();
    expect(modes()).toEqual([false, 0o600]);
  });
});

describe('the terminal that the agent runs in', () => {
  const withSocat = needs('socat');
  const agentLine = (at: Folders, networks: Record<string, string>) =>
    `$node '${onNetworks(networks).join("' '")}' $wattkeep --data ${at.data} --settings ${at.settings} --port 0 --no-demo --lan`;

  withSocat('asks about a phone that waits, shows the same two words, and lets it in by one key', async () => {
    const at = folders();
    const terminal = onTerminal(`exec ${agentLine(at, { yard0: YARD })}`);
    terminals.push(terminal);
    const [, port] = await terminal.until(/http:\/\/127\.0\.0\.2:(\d+)\/pair there/);
    const [, code] = await terminal.until(/type\s+([0-9A-Z]{4}-[0-9A-Z]{4})/);
    expect(terminal.shown()).toContain('\u001b[97;40m');
    const agent = { url: `http://127.0.0.1:${port}/` } as AgentProcess;
    const asked = await pairAnswer(await yardPost(agent, 'pair', { secret: code, name: 'Phone \u001b[2J' }));
    await terminal.until(
      new RegExp(`“Phone \\[2J” \\(127\\.0\\.0\\.1\\) asks to be let in\\. Its screen must show: {2}${asked.words}`),
    );
    terminal.type('what');
    await terminal.until(/Type l, m, change or n\./);
    terminal.type('');
    await terminal.until(/“Phone \[2J” may look\./);
    expect(await pairAnswer(await yardPost(agent, 'pair', { request: asked.request }))).toEqual({
      state: 'allowed',
      scope: 'view',
    });
  });

  withSocat('is asked which network is meant where there are several', async () => {
    const at = folders();
    const terminal = onTerminal(`exec ${agentLine(at, { shed0: '127.0.0.3', yard0: YARD })}`);
    terminals.push(terminal);
    await terminal.until(/1 {2}shed0 {2}127\.0\.0\.3\s+2 {2}yard0 {2}127\.0\.0\.2\s+Number or name >/);
    terminal.type('2');
    await terminal.until(/Shared on yard0: http:\/\/127\.0\.0\.2:\d+\//);
  });

  withSocat('is left alone by an agent in the background: it goes on recording, and is let in elsewhere', async () => {
    const at = folders();
    const shell = onTerminal(`set -m\n${agentLine(at, { yard0: YARD })} &\nwait`);
    terminals.push(shell);
    const [, port] = await shell.until(/http:\/\/127\.0\.0\.2:(\d+)\/pair there/);
    const [, code] = await shell.until(/type\s+([0-9A-Z]{4}-[0-9A-Z]{4})/);
    const agent = { url: `http://127.0.0.1:${port}/` } as AgentProcess;
    const asked = await pairAnswer(await yardPost(agent, 'pair', { secret: code, name: 'Phone' }));
    shell.type('look');
    const { waiting } = verb(at, 'pair', 'waiting', '--json').json<Pick<SharingAnswer, 'waiting'>>();
    expect(verb(at, 'pair', 'allow', waiting[0]!.id, '--scope', 'view').status).toBe(0);
    expect(await pairAnswer(await yardPost(agent, 'pair', { request: asked.request }))).toMatchObject({
      state: 'allowed',
    });
    expect(shell.shown()).not.toContain('Let it look?');
  });

  withSocat('gives more than looking only after it has said what plain HTTP cannot protect', async () => {
    const at = folders();
    const agent = await start(at);
    verb(at, 'share', 'on');
    const terminal = onTerminal(`exec $node $wattkeep pair --data ${at.data}`);
    terminals.push(terminal);
    const [, code] = await terminal.until(/type\s+([0-9A-Z]{4}-[0-9A-Z]{4})/);
    await terminal.until(/Waiting for the phone/);
    const asked = await pairAnswer(await yardPost(agent, 'pair', { secret: code, name: 'Tablet' }));
    await terminal.until(/“Tablet” .* asks/);
    terminal.type('change');
    await terminal.until(/not encrypted[\s\S]*take this over[\s\S]*Type change again/);
    terminal.type('change');
    await terminal.until(/“Tablet” may change\./);
    expect(await pairAnswer(await yardPost(agent, 'pair', { request: asked.request }))).toMatchObject({
      scope: 'change',
    });
  });
});
