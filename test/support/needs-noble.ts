/**
 * Scenarios with the real Bluetooth library over the soft radio. It is an optional package that needs a compiler: where
 * it is not installed they are pending and say what to do; where CI=true they fail.
 */
import { createRequire } from 'node:module';
import { it } from 'vitest';

const MISSING =
  'the package @abandonware/noble is not installed: sudo apt-get install build-essential python3, then npm install';

function isInstalled(): boolean {
  try {
    createRequire(import.meta.url).resolve('@abandonware/noble');
    return true;
  } catch (cause) {
    if ((cause as NodeJS.ErrnoException).code === 'MODULE_NOT_FOUND') return false;
    throw cause;
  }
}

export const hasNoble = isInstalled();

type Scenario = (sentence: string, run: () => Promise<void> | void, timeoutMs?: number) => void;

/** Runs, or is pending with instructions, or fails under CI=true. */
export const withNoble: Scenario = hasNoble
  ? it
  : process.env.CI === 'true'
    ? sentence =>
        it(sentence, () => {
          throw new Error(MISSING);
        })
    : (sentence, run) => it.skip(`${sentence} (pending: ${MISSING})`, run);
