/**
 * Whether the record still lies where it was opened. SQLite goes on writing a file that was moved, removed or replaced
 * under it, and nobody would ever read what it writes there. Looked at by name alone: opening the file here would drop
 * the locks that SQLite holds on it.
 */
import { statSync } from 'node:fs';
import { codeOf, recordError } from './failure.ts';

/** Made once the file is open; the answer throws DISK_READ_ONLY where another file or none lies there now. */
export function watchFile(path: string): () => void {
  const look = () => {
    try {
      const { dev, ino } = statSync(path, { bigint: true });
      return `${dev} ${ino}`;
    } catch (error) {
      return codeOf(error);
    }
  };
  const opened = look();
  return () => {
    if (look() === opened) return;
    throw recordError(
      'DISK_READ_ONLY',
      `${path} is no longer the file that was opened: it was moved, removed or replaced, or its disk was taken out; nothing is being saved. Put it back, or start the agent again`,
    );
  };
}
