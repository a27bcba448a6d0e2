/**
 * A program of the owner's whose stdout is read: an argument array, never a shell line. It gets no input, a small
 * environment and a process group of its own, so that closing the link ends whatever it started too. What it writes
 * to stderr is passed on up to 64 KiB a minute; the rest is read and dropped.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { type Clock, type OpenLink, printable, type Timers } from '#kit';
import { failureOfCode, type GuardedEvents, guard } from './guard.ts';
import { hearPrinted } from './printed.ts';

export interface ProcessOptions {
  readonly command: readonly string[];
  readonly clock: Pick<Clock, 'monoMs'>;
  readonly timers: Timers;
  readonly onStderr: (text: string) => void;
  /** What the program may see of the agent's environment is picked from here. */
  readonly environment: Readonly<Record<string, string | undefined>>;
  /** Where it runs. Default: the agent's own folder of work. */
  readonly folder?: string;
}

const TERM_LIMIT_MS = 2000;
/** Enough to find programs, files and a language; no secrets of the agent's own. */
const PASSED_ON = ['PATH', 'HOME', 'LANG', 'LC_ALL', 'TZ', 'TMPDIR', 'SystemRoot', 'USERPROFILE', 'TEMP'];

function pick(environment: ProcessOptions['environment']): Record<string, string> {
  const picked: Record<string, string> = {};
  for (const name of PASSED_ON) {
    const value = environment[name];
    if (value !== undefined) picked[name] = value;
  }
  return picked;
}

/** Signals the whole group; a group that is gone already is what was wanted. */
function signalGroup(child: ChildProcess, signal: 'SIGTERM' | 'SIGKILL'): void {
  if (child.pid === undefined) return;
  if (process.platform === 'win32') {
    child.kill(signal);
    return;
  }
  try {
    process.kill(-child.pid, signal);
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code !== 'ESRCH') throw cause;
  }
}

/** Passes stderr on; answers with the last line heard. */
function hear(child: ChildProcess, { clock, onStderr }: ProcessOptions): () => string {
  let lastLine = '';
  hearPrinted(
    [child.stderr],
    () => clock.monoMs(),
    text => {
      lastLine = text.trimEnd().split('\n').at(-1) ?? lastLine;
      onStderr(text);
    },
  );
  return () => lastLine;
}

function listen(child: ChildProcess, events: GuardedEvents, options: ProcessOptions): void {
  const lastLine = hear(child, options);
  child.on('spawn', () => events.opened());
  child.stdout?.on('data', (chunk: Buffer) => events.bytes(chunk));
  child.on('error', (cause: NodeJS.ErrnoException) => {
    events.closed(failureOfCode(cause.code), `${options.command[0]}: ${cause.message}`);
  });
  // After the exit and the last byte of its output.
  child.on('close', (code, signal) => {
    const how = signal === null ? `exited with code ${code}` : `was ended by ${signal}`;
    const words = lastLine();
    events.closed('ended', `${options.command[0]} ${how}${words === '' ? '' : `: ${printable(words, 80)}`}`);
  });
}

export const openProcess =
  (options: ProcessOptions): OpenLink =>
  unguarded => {
    const events = guard(unguarded);
    const [program = '', ...words] = options.command;
    const child = spawn(program, words, {
      stdio: ['ignore', 'pipe', 'pipe'],
      env: pick(options.environment),
      detached: process.platform !== 'win32',
      windowsHide: true,
      ...(options.folder === undefined ? {} : { cwd: options.folder }),
    });
    let gone = child.pid === undefined;
    child.once('close', () => {
      gone = true;
    });
    listen(child, events, options);
    return {
      pause: () => void child.stdout?.pause(),
      resume: () => void child.stdout?.resume(),
      close() {
        events.mute();
        if (gone) return Promise.resolve();
        return new Promise(resolve => {
          const cancel = options.timers.after(TERM_LIMIT_MS, () => signalGroup(child, 'SIGKILL'));
          child.once('close', () => {
            cancel();
            resolve();
          });
          // Output nobody reads any more must not keep the end from coming.
          child.stdout?.resume();
          signalGroup(child, 'SIGTERM');
        });
      },
    };
  };
