/**
 * A smoke run on the Node.js lines that owners are told to use. Their binaries come from npm's own packages, with the
 * headers that the database needs to be compiled; where those cannot be had the test is pending and says so.
 */
import { execFileSync, spawn } from 'node:child_process';
import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { createInterface } from 'node:readline';
import { describe, expect, it } from 'vitest';
import { ROOT } from '../house/rooms.ts';

/** Folder of a Node.js of that line, or null where the registry has none for this computer. */
function fetchNode(line: number, into: string): string | null {
  const name = `node-${process.platform === 'darwin' ? 'darwin' : 'linux'}-${process.arch}`;
  try {
    execFileSync('npm', ['install', '--prefix', into, '--no-save', '--ignore-scripts', `${name}@${line}`], {
      stdio: 'pipe',
    });
  } catch (cause) {
    console.warn(`Node.js ${line} cannot be had from the registry here: ${String(cause).split('\n')[0]}`);
    return null;
  }
  return join(into, 'node_modules', name);
}

/** The built program with its packages, the database compiled for that Node.js. */
function installFor(node: string, into: string): void {
  for (const part of ['package.json', 'package-lock.json', 'dist', 'node_modules'])
    cpSync(join(ROOT, part), join(into, part), { recursive: true, verbatimSymlinks: true });
  rmSync(join(into, 'node_modules', 'better-sqlite3', 'build'), { recursive: true, force: true });
  execFileSync('npm', ['rebuild', 'better-sqlite3', `--nodedir=${node}`], {
    cwd: into,
    env: { ...process.env, PATH: `${join(node, 'bin')}:${process.env.PATH}` },
    stdio: 'pipe',
  });
}

/** Starts the demo, asks for its first live reading, stops it. */
async function smoke(node: string, program: string, data: string): Promise<{ watts: unknown; status: number | null }> {
  const args = [
    join(program, 'dist/program/main.js'),
    '--port',
    '0',
    '--data',
    data,
    '--settings',
    join(data, 's.toml'),
  ];
  const child = spawn(join(node, 'bin', 'node'), args, { stdio: ['ignore', 'pipe', 'inherit'] });
  const ended = new Promise<number | null>(resolve => child.once('close', resolve));
  const url = await new Promise<string>((resolve, reject) => {
    createInterface(child.stdout).on('line', line => line.startsWith('http') && resolve(line));
    void ended.then(status => reject(new Error(`it ended with ${status}`)));
  });
  let watts: unknown;
  for (let tries = 0; tries < 100 && typeof watts !== 'number'; tries++) {
    await new Promise(resolve => setTimeout(resolve, 200));
    const answer = await fetch(`${url}api/stations/honey-shed/now`);
    const body = (await answer.json()) as { reading: { quantities: Record<string, unknown> } | null };
    watts = body.reading?.quantities.outputPowerW;
  }
  child.kill('SIGTERM');
  return { watts, status: await ended };
}

describe('the program on other Node.js lines', () => {
  it.each([22, 24])('runs on %i', async line => {
    const dir = mkdtempSync(join(tmpdir(), `wattkeep-node${line}-`));
    try {
      const node = fetchNode(line, join(dir, 'node'));
      if (node === null) return;
      const program = join(dir, 'program');
      installFor(node, program);
      const { watts, status } = await smoke(node, program, join(dir, 'data'));
      expect(watts).toBeTypeOf('number');
      expect(status).toBe(0);
    } finally {
      rmSync(dir, { recursive: true, force: true });
    }
  });
});
