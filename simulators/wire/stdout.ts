/** A plant on this process's own standard output: the `process` transport reads it. Unplugging ends the process. */
import type { Cable } from './cable.ts';

/** `ended` is called when the reader has closed its end, or on unplugging. */
export function stdoutCable(ended: () => void): Cable {
  process.stdout.on('error', ended);
  return {
    where: { stdout: process.pid },
    send(bytes) {
      // A reader that has stopped reading loses lines; it must not make this process grow.
      if (process.stdout.writableLength < 1_000_000) process.stdout.write(bytes);
    },
    // Standard input carries commands: nobody speaks to the plant here.
    hear: () => undefined,
    unplug: async () => ended(),
    replug: () => Promise.resolve(),
    close: () => process.stdout.removeListener('error', ended),
  };
}
