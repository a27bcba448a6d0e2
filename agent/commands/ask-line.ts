/** Questions to whoever sits at the terminal, a line each. Nothing is asked where nobody does. */
import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import { createInterface } from 'node:readline';
import { isatty } from 'node:tty';

/** Whether somebody at a terminal would see a question and could answer it. */
export const hasTerminal = (): boolean => isatty(0) && isatty(2) && isInForeground();

/** Whoever reads a terminal from the background is stopped by the system, recording and all. */
function isInForeground(): boolean {
  const [own, inFront] = process.platform === 'linux' ? groupsOfProc() : groupsOfPs();
  return own !== undefined && own === inFront;
}

/** The process groups of this process and of the terminal's foreground: proc(5), fields 5 and 8 of stat. */
function groupsOfProc(): readonly (string | undefined)[] {
  const [, , group, , , foreground] = readFileSync('/proc/self/stat', 'utf8')
    .replace(/^.*\) /s, '')
    .split(' ');
  return [group, foreground];
}

const groupsOfPs = (): readonly (string | undefined)[] =>
  spawnSync('ps', ['-o', 'pgid=,tpgid=', '-p', String(process.pid)], { encoding: 'utf8' })
    .stdout?.trim()
    .split(/\s+/) ?? [];

export interface Asker {
  /** The next line; null once the terminal is gone or the asking was given up. */
  ask(question: string): Promise<string | null>;
  say(text: string): void;
  close(): void;
}

/** Lines typed while nothing is asked are thrown away, so that none answers a question it was not meant for. */
export function openAsker(): Asker {
  // Without a terminal of its own readline leaves Ctrl-C to the process.
  const lines = createInterface({ input: process.stdin, terminal: false });
  let answer: ((line: string | null) => void) | null = null;
  const give = (line: string | null) => {
    answer?.(line);
    answer = null;
  };
  lines.on('line', give);
  lines.on('close', () => give(null));
  return {
    ask(question) {
      process.stderr.write(question);
      return new Promise(resolve => {
        answer = resolve;
      });
    },
    say: text => void process.stderr.write(text),
    close() {
      lines.close();
      process.stdin.pause();
      give(null);
    },
  };
}
