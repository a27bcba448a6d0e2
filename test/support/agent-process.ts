/** The whole agent as its user starts it: a child process on its own folders and any free port. */
import { type ChildProcess, spawn } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
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
  api<T>(path: string): Promise<T>;
  /** A POST as the page sends it. */
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
    { stdio: ['ignore', 'pipe', 'pipe'], env: { ...process.env, XDG_STATE_HOME: folders.dir } },
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
  return {
    child,
    url,
    api: <T>(path: string) => ask<T>(path),
    post: <T>(path: string, body: unknown) =>
      ask<T>(path, {
        method: 'POST',
        headers: { origin: new URL(url).origin, 'content-type': 'application/json', 'x-wattkeep': '1' },
        body: JSON.stringify(body),
      }),
    complaints: () => complaints,
    async end(signal = 'SIGTERM') {
      child.kill(signal);
      return ended;
    },
  };
}
