/**
 * The built agent on a machine with one more network, 127.0.0.2: what every Linux machine can listen on, and nobody
 * else reaches. Only the list of own addresses is put in place of the system's; nothing in the product knows of it.
 */
import { type ChildProcess, spawn, spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { readDoor } from '../../agent/sharing/index.ts';
import { type AgentProcess, type Folders, startAgentProcess } from './agent-process.ts';
import { built } from './built.ts';

export const YARD = '127.0.0.2';

/** In base64, so that no shell on the way has anything to quote. */
const listing = (networks: object): string =>
  `data:text/javascript;base64,${Buffer.from(
    `import os from 'node:os'; import { syncBuiltinESMExports } from 'node:module';
     os.networkInterfaces = () => (${JSON.stringify(networks)}); syncBuiltinESMExports();`,
  ).toString('base64')}`;

const network = (address: string) => [{ address, family: 'IPv4', internal: false }];
/** Arguments of Node for a machine with these networks, by name. */
export const onNetworks = (addresses: Readonly<Record<string, string>>): string[] => [
  '--import',
  listing(Object.fromEntries(Object.entries(addresses).map(([name, address]) => [name, network(address)]))),
];

export const startYardAgent = (folders: Folders, args: readonly string[] = []): Promise<AgentProcess> =>
  startAgentProcess(folders, args, onNetworks({ yard0: YARD }));

/** The agent's address over the network. */
export const yardUrl = (agent: AgentProcess): string => agent.url.replace('127.0.0.1', YARD);

/** A change over the network, as the page there sends it. */
export function yardPost(agent: AgentProcess, path: string, body: unknown, cookie = ''): Promise<Response> {
  const url = new URL(path, yardUrl(agent));
  const headers = { origin: url.origin, 'content-type': 'application/json', 'x-wattkeep': '1', cookie };
  return fetch(url, { method: 'POST', headers, body: JSON.stringify(body) });
}

/** A verb about an agent, run to its end. */
export function verb(folders: Folders, ...words: string[]) {
  const args = [built('program/main.js'), ...words, '--data', folders.data];
  const { status, stdout, stderr } = spawnSync(process.execPath, args, { encoding: 'utf8', timeout: 60_000 });
  return { status, stdout, stderr, json: <T>() => JSON.parse(stdout) as T };
}

/** What a verb does, without its process: asks the agent with the secret of its run. */
export async function tellAgent<T>(folders: Folders, path: string, body?: object): Promise<T> {
  const { url, token } = readDoor(folders.data)!;
  const headers = { authorization: `Bearer ${token}`, 'content-type': 'application/json', 'x-wattkeep': '1' };
  const init = body === undefined ? { headers } : { headers, method: 'POST', body: JSON.stringify(body) };
  const answer = await fetch(new URL(`api/sharing${path}`, url), init);
  if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
  return (await answer.json()) as T;
}

export interface Terminal {
  child: ChildProcess;
  /** All that was shown so far. */
  shown(): string;
  /** Waits until it shows that. */
  until(shows: RegExp): Promise<RegExpExecArray>;
  type(line: string): void;
  end(): Promise<void>;
}

/**
 * Shell lines on a terminal of their own, by socat.
 *
 * @param lines `$node` stands for this one, `$wattkeep` for the built program
 */
export function onTerminal(lines: string): Terminal {
  const dir = mkdtempSync(join(tmpdir(), 'terminal-'));
  const script = join(dir, 'lines.sh');
  const quoted = (words: readonly string[]) => words.map(word => `'${word}'`).join(' ');
  // socat takes no long command.
  writeFileSync(
    script,
    `wattkeep=${quoted([built('program/main.js')])}\nnode=${quoted([process.execPath])}\n${lines}\n`,
  );
  const child = spawn('socat', ['STDIO', `EXEC:/bin/bash ${script},pty,setsid,ctty,stderr,echo=0,raw`], {
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  let shown = '';
  child.stdout.on('data', (chunk: Buffer) => {
    shown += chunk.toString();
  });
  const ended = new Promise<void>(resolve => child.once('close', () => resolve()));
  return {
    child,
    shown: () => shown,
    async until(shows) {
      for (;;) {
        const found = shows.exec(shown);
        if (found !== null) return found;
        if (child.exitCode !== null) throw new Error(`the terminal closed: ${shown}`);
        await new Promise(resolve => setTimeout(resolve, 50));
      }
    },
    type: line => void child.stdin.write(`${line}\n`),
    async end() {
      child.kill('SIGTERM');
      await ended;
      rmSync(dir, { recursive: true, force: true });
    },
  };
}
