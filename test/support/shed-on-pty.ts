/** The simulated shed as a process of its own on a pseudo-terminal, with the commands it takes on its standard input. */
import { type ChildProcess, spawn } from 'node:child_process';
import { createInterface } from 'node:readline';
import { built } from './built.ts';

export interface ShedOnPty {
  /** Stable name of the port; leads to a new terminal after each replug. */
  link: string;
  child: ChildProcess;
  /** Sends one command and gives its answer, a line of JSON. */
  tell<T = unknown>(command: string): Promise<T>;
  end(): Promise<void>;
}

export async function startShedOnPty(link: string, args: readonly string[] = []): Promise<ShedOnPty> {
  const child = spawn(process.execPath, [built('simulators/run.js'), '--pty', link, ...args], {
    stdio: ['pipe', 'pipe', 'inherit'],
  });
  const waiting: ((line: string) => void)[] = [];
  createInterface(child.stdout!).on('line', line => waiting.shift()?.(line));
  const next = () => new Promise<string>(resolve => waiting.push(resolve));
  const tell = async <T>(command: string) => {
    const answer = next();
    child.stdin!.write(`${command}\n`);
    return JSON.parse(await answer) as T;
  };
  const greeting = JSON.parse(await next()) as { ready?: { pty: string } };
  if (greeting.ready?.pty !== link) throw new Error(`unexpected greeting: ${JSON.stringify(greeting)}`);
  return {
    link,
    child,
    tell,
    async end() {
      const ended = new Promise(resolve => child.once('close', resolve));
      child.kill('SIGTERM');
      await ended;
    },
  };
}
