/**
 * A virtual serial port for the real serial library: a pseudo-terminal pair held by socat, with a stable link name
 * that survives unplugging (each plug gives a new device behind the same name, as a real cable does).
 */
import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import path from 'node:path';
import { until } from './real-time.ts';

export interface PtyPort {
  /** The stable name to open. */
  readonly path: string;
  /** What a device would send. */
  write(bytes: string | Uint8Array): void;
  /** The cable is pulled: the device and its name are gone. */
  unplug(): Promise<void>;
  plug(): Promise<void>;
  /** Unplugs and leaves nothing behind. */
  remove(): Promise<void>;
}

/** Needs socat. Resolves once the port can be opened. */
export async function plugPty(): Promise<PtyPort> {
  const folder = mkdtempSync(path.join(tmpdir(), 'pty-'));
  const name = path.join(folder, 'port');
  let socat: ChildProcess | null = null;

  const plug = async (): Promise<void> => {
    // socat ends by itself when its standard input does: no orphan outlives the test.
    socat = spawn('socat', ['-u', 'STDIN', `PTY,raw,echo=0,link=${name}`], { stdio: ['pipe', 'ignore', 'ignore'] });
    // Writing to a port that was just pulled is what a device does too.
    socat.stdin?.on('error', () => socat?.kill('SIGKILL'));
    await until(() => existsSync(name));
  };
  const unplug = async (): Promise<void> => {
    if (socat === null || socat.exitCode !== null || socat.signalCode !== null) return;
    const gone = once(socat, 'exit');
    socat.kill('SIGKILL');
    await gone;
    rmSync(name, { force: true });
  };
  await plug();
  return {
    path: name,
    write: bytes => void socat?.stdin?.write(bytes),
    unplug,
    plug,
    async remove() {
      await unplug();
      rmSync(folder, { recursive: true, force: true });
    },
  };
}
