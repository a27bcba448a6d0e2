/**
 * Programs a test cannot do without. Missing on an owner's computer: the test is pending and says what to install.
 * Missing where CI=true: it fails, so that nothing is skipped unseen.
 */
import { accessSync, constants } from 'node:fs';
import path from 'node:path';
import { it } from 'vitest';

const INSTALL = 'install it with your package manager, for example: sudo apt-get install';

export function hasProgram(name: string): boolean {
  return (process.env.PATH ?? '').split(path.delimiter).some(folder => {
    try {
      accessSync(path.join(folder, name), constants.X_OK);
      return true;
    } catch (cause) {
      if (typeof (cause as NodeJS.ErrnoException).code === 'string') return false;
      throw cause;
    }
  });
}

type Scenario = (sentence: string, run: () => Promise<void> | void, timeoutMs?: number) => void;

/**
 * `needs('socat')('sentence', …)`: runs, or is pending with instructions, or fails under CI=true.
 *
 * @param inPackage Debian's name for what holds the program, where it is another
 */
export function needs(program: string, inPackage = program): Scenario {
  if (hasProgram(program)) return it;
  const missing = `${program} is missing: ${INSTALL} ${inPackage}`;
  if (process.env.CI !== 'true') return (sentence, run) => it.skip(`${sentence} (pending: ${missing})`, run);
  return sentence =>
    it(sentence, () => {
      throw new Error(missing);
    });
}
