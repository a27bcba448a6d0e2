/** Runs the built simulator as a child process and talks to it: what it prints, and its command line on stdin. */
import { type ChildProcessByStdio, spawn } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import type { Readable, Writable } from 'node:stream';
import { fileURLToPath } from 'node:url';

export const RUN = fileURLToPath(new URL('../../dist/simulators/run.js', import.meta.url));

export type Answer = Record<string, unknown>;

export interface Simulator {
  readonly child: ChildProcessByStdio<Writable, Readable, Readable>;
  /** First answer: where it listens. Only with --pty or --tcp. */
  readonly ready: Promise<Answer>;
  /** Sends one command and gives its answer. Only with --pty or --tcp. */
  ask(command: string): Promise<Answer>;
  stop(): Promise<void>;
}

/** Starts `run.js` with a pty or TCP port (answers come on its standard output). */
export function startSimulator(args: readonly string[]): Simulator {
  const child = spawn(process.execPath, [RUN, ...args], { stdio: ['pipe', 'pipe', 'pipe'] });
  const waiting: ((answer: Answer) => void)[] = [];
  const early: Answer[] = [];
  createInterface({ input: child.stdout }).on('line', line => {
    const answer = JSON.parse(line) as Answer;
    const next = waiting.shift();
    if (next === undefined) early.push(answer);
    else next(answer);
  });
  let complaint = '';
  child.stderr.on('data', chunk => {
    complaint += chunk;
  });
  const answered = () =>
    new Promise<Answer>((resolve, reject) => {
      const had = early.shift();
      if (had !== undefined) return resolve(had);
      waiting.push(resolve);
      child.once('exit', code => reject(new Error(`the simulator ended (${code}): ${complaint}`)));
    });
  const ready = answered();
  return {
    child,
    ready,
    async ask(command) {
      const answer = answered();
      child.stdin.write(`${command}\n`);
      return answer;
    },
    async stop() {
      if (child.exitCode !== null || child.signalCode !== null) return;
      child.kill('SIGTERM');
      await once(child, 'exit');
    },
  };
}
