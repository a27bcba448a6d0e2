/** The whole agent as its user starts it: a child process on its own folders and any free port. */
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { readDoor } from '../../agent/sharing/index.ts';
import { built } from './built.ts';

export interface Folders {
  dir: string;
  data: string;
  settings: string;
  remove(): void;
}

/** A fresh data folder and settings file. */
export function freshFolders(settingsToml = ''): Folders {
  const dir = mkdtempSync(join(tmpdir(), 'wattkeep-'));
  const settings = join(dir, 'settings.toml');
  if (settingsToml !== '') writeFileSync(settings, settingsToml);
  return { dir, data: join(dir, 'data'), settings, remove: () => rmSync(dir, { recursive: true, force: true }) };
}

export interface AgentProcess {
  child: ChildProcess;
  /** `http://127.0.0.1:PORT/`, as printed. */
  url: string;
  /** A link that lets one browser of this machine change things, as `pair --here` asks for it; worth nothing once used. */
  readonly link: Promise<string>;
  /** The Cookie header of a browser that has opened the link. */
  cookie(): Promise<string>;
  api<T>(path: string): Promise<T>;
  /** A change as the page sends it. */
  change(method: 'POST' | 'PUT', path: string, body: unknown): Promise<Response>;
  /** A POST as the page sends it; throws where it was refused. */
  post<T>(path: string, body: unknown): Promise<T>;
  /** Everything printed to stderr so far. */
  complaints(): string;
  /** Sends the signal and waits for the end; the exit status, or null where the signal ended it. */
  end(signal?: NodeJS.Signals): Promise<number | null>;
}

/**
 * Starts the agent and waits for its address. Rejects with what it printed where it ends before.
 *
 * @param nodeArgs Node's own arguments, which its radio inherits
 */
export async function startAgentProcess(
  folders: Folders,
  args: readonly string[] = [],
  nodeArgs: readonly string[] = [],
  env: Readonly<Record<string, string>> = {},
): Promise<AgentProcess> {
  const child = spawn(
    process.execPath,
    [
      ...nodeArgs,
      built('program/main.js'),
      '--data',
      folders.data,
      '--settings',
      folders.settings,
      '--port',
      '0',
      ...args,
    ],
    { stdio: ['ignore', 'pipe', 'pipe'], env: { ...process.env, XDG_STATE_HOME: folders.dir, ...env } },
  );
  let complaints = '';
  child.stderr.on('data', (chunk: Buffer) => {
    complaints += chunk.toString();
  });
  const ended = new Promise<number | null>(resolve => child.once('close', status => resolve(status)));
  const url = await new Promise<string>((resolve, reject) => {
    createInterface(child.stdout).on('line', line => {
      if (/^http:\/\/\S+\/$/.test(line)) resolve(line);
    });
    void ended.then(status => reject(new Error(`the agent ended with ${status}: ${complaints}`)));
  });
  const ask = async <T>(path: string, init?: RequestInit): Promise<T> => {
    const answer = await fetch(new URL(path, url), init);
    if (!answer.ok) throw new Error(`${path}: ${answer.status} ${await answer.text()}`);
    return (await answer.json()) as T;
  };
  const link = async (): Promise<string> => {
    const headers = { authorization: `Bearer ${readDoor(folders.data)!.token}`, 'content-type': 'application/json' };
    const init = { method: 'POST', headers: { ...headers, 'x-wattkeep': '1' }, body: '{}' };
    return (await ask<{ link: string }>('api/sharing/here-link', init)).link;
  };
  const page = { origin: new URL(url).origin, 'content-type': 'application/json', 'x-wattkeep': '1' };
  let opened: Promise<string> | null = null;
  const cookie = () => {
    opened ??= link().then(fresh => openLink(url, fresh, page));
    return opened;
  };
  const init = async (method: 'POST' | 'PUT', body: unknown): Promise<RequestInit> => ({
    method,
    headers: { ...page, cookie: await cookie() },
    body: JSON.stringify(body),
  });
  return {
    child,
    url,
    get link() {
      return link();
    },
    cookie,
    api: <T>(path: string) => ask<T>(path),
    change: async (method, path, body) => fetch(new URL(path, url), await init(method, body)),
    post: async <T>(path: string, body: unknown) => ask<T>(path, await init('POST', body)),
    complaints: () => complaints,
    async end(signal = 'SIGTERM') {
      child.kill(signal);
      return ended;
    },
  };
}

/** What a browser does with the link: it sends the token of the fragment and keeps the cookie. */
async function openLink(url: string, link: string, headers: Record<string, string>): Promise<string> {
  const secret = link.split('#')[1];
  const body = JSON.stringify({ secret, name: 'A test' });
  const answer = await fetch(new URL('pair', url), { method: 'POST', headers, body });
  const [set] = answer.headers.getSetCookie();
  if (set === undefined) throw new Error(`the link was refused: ${answer.status} ${await answer.text()}`);
  return set.split(';', 1)[0]!;
}
