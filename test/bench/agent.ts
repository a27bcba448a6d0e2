/** The built agent on folders of its own, started as its owner would; and any child that prints its address. */
import { type ChildProcess, type SpawnOptions, spawn } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { ROOT } from './places.ts';

export interface Home {
  readonly dir: string;
  /** `--data … --settings … --port 0` */
  readonly args: readonly string[];
  readonly env: NodeJS.ProcessEnv;
  remove(): void;
}

/** Fresh folders with this settings file; without one the agent shows its demo. */
export function freshHome(settingsToml = ''): Home {
  const dir = mkdtempSync(join(tmpdir(), 'wattkeep-bench-'));
  const settings = join(dir, 'settings.toml');
  if (settingsToml !== '') writeFileSync(settings, settingsToml);
  return {
    dir,
    args: ['--data', join(dir, 'data'), '--settings', settings, '--port', '0'],
    env: { ...process.env, XDG_STATE_HOME: dir },
    remove: () => rmSync(dir, { recursive: true, force: true }),
  };
}

/** Where that agent keeps its record. */
export const dataOf = (home: Home): string => join(home.dir, 'data');

export interface Served {
  readonly child: ChildProcess;
  /** As printed, with a slash at its end. */
  readonly url: string;
  /** Time from the start of the process to its address, ms. */
  readonly startMs: number;
  end(): Promise<void>;
}

/** Starts a program that prints its address on a line of its own; rejects where it ends before. */
export async function serve(file: string, args: readonly string[], options: SpawnOptions = {}): Promise<Served> {
  const beganMs = performance.now();
  const child = spawn(file, args, { cwd: ROOT, ...options, stdio: ['ignore', 'pipe', 'pipe'] });
  let complaints = '';
  child.stderr?.on('data', (chunk: Buffer) => {
    complaints = (complaints + chunk.toString()).slice(-2000);
  });
  const ended = new Promise<void>(resolve => child.once('close', () => resolve()));
  const url = await new Promise<string>((resolve, reject) => {
    createInterface(child.stdout!).on('line', line => {
      if (/^http:\/\/\S+\/$/.test(line)) resolve(line);
    });
    child.once('error', reject);
    void ended.then(() => reject(new Error(`${file} ${args[0] ?? ''} ended early: ${complaints}`)));
  });
  return {
    child,
    url,
    startMs: performance.now() - beganMs,
    end: () => {
      child.kill('SIGTERM');
      return ended;
    },
  };
}

/** The agent by the command that `npm start` runs. */
export function serveAgent(home: Home): Promise<Served> {
  const { scripts } = JSON.parse(readFileSync(join(ROOT, 'package.json'), 'utf8')) as { scripts: { start: string } };
  const [, ...words] = scripts.start.split(' ');
  return serve(process.execPath, [...words, ...home.args], { env: home.env });
}
