/** The command line as an owner's shell has it: `wattkeep` on the path, settings and data in folders of the test. */
import { spawn } from 'node:child_process';
import { chmodSync, mkdirSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';
import { type Folders, freshFolders } from './agent-process.ts';
import { built } from './built.ts';

export interface Ran {
  readonly status: number | null;
  readonly out: string;
  readonly complaint: string;
}

export interface Workbench extends Folders {
  /** Where an owner's adapters lie. */
  readonly adapters: string;
  /** Runs lines of a shell in the test's folder. */
  sh(lines: string, env?: Readonly<Record<string, string>>): Promise<Ran>;
}

export function workbench(settingsToml = ''): Workbench {
  const folders = freshFolders(settingsToml);
  const bin = join(folders.dir, 'bin');
  mkdirSync(bin);
  const command = join(bin, 'wattkeep');
  writeFileSync(command, `#!/bin/sh\nexec "${process.execPath}" "${built('program/main.js')}" "$@"\n`);
  chmodSync(command, 0o755);
  return {
    ...folders,
    adapters: join(folders.dir, 'adapters'),
    async sh(lines, env = {}) {
      const child = spawn('sh', ['-e', '-c', lines], {
        cwd: folders.dir,
        stdio: ['ignore', 'pipe', 'pipe'],
        env: {
          PATH: `${bin}:${process.env.PATH}`,
          HOME: folders.dir,
          WATTKEEP_SETTINGS: folders.settings,
          WATTKEEP_DATA: folders.data,
          ...env,
        },
      });
      const ended = new Promise<number | null>(resolve => child.once('close', resolve));
      const [out, complaint, status] = await Promise.all([text(child.stdout), text(child.stderr), ended]);
      return { status, out, complaint };
    },
  };
}

/** Puts a statement (`const table = …;`) in place of the one of that name in a source. */
export function withStatement(source: string, statement: string): string {
  const declared = /^(?:export )?const (\w+)/.exec(statement)?.[1];
  const there = new RegExp(`^(?:export )?const ${declared}\\b[\\s\\S]*?^[}\\]]\\)?;\\n`, 'm');
  if (declared === undefined || !there.test(source))
    throw new Error(`the file holds no ${declared ?? 'such statement'}`);
  return source.replace(there, () => `${statement.trimEnd()}\n`);
}
