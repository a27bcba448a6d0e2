/** Questions to whoever sits at the terminal, a line each. Nothing is asked where nobody does. */
import { createInterface } from 'node:readline';

export const hasTerminal = (): boolean => process.stdin.isTTY === true && process.stderr.isTTY === true;

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
