/** Plays a capture through an adapter in a contained process: starts it, gives it its order, passes its lines on. */
import type { Socket } from 'node:net';
import { createInterface } from 'node:readline';
import { printable, type Timers } from '#kit';
import { startContained } from './containment.ts';
import { type PlayLine, type PlayOrder, readPlayLine } from './play-lines.ts';

export interface PlayRequest {
  /** Absolute path of the built agent/host/play-child.js. */
  readonly entryPath: string;
  /** `built-in`, or the absolute path of an owner's built file. */
  readonly source: string;
  readonly order: PlayOrder;
  readonly timers: Timers;
  /** All of it may take so long. Default 60 000. */
  readonly limitMs?: number;
  readonly onLine: (line: PlayLine) => void;
  /** What the adapter printed. */
  readonly onPrinted: (text: string) => void;
}

/** Resolves with null once it is done, or in words why it did not come to its end. */
export async function playContained(request: PlayRequest): Promise<string | null> {
  const { entryPath, source, order, timers, limitMs = 60_000, onLine, onPrinted } = request;
  const child = startContained({ entryPath, source });
  const pipe = child.stdio[3] as Socket;
  let wrong: string | null = null;
  let done = false;
  const stop = (why: string): void => {
    wrong ??= why;
    child.kill('SIGKILL');
  };
  const cancel = timers.after(limitMs, () => stop(`it did not come to an end within ${limitMs / 1000} s`));
  for (const stream of [child.stdout, child.stderr]) stream?.on('data', chunk => onPrinted(String(chunk)));
  // How the process ended tells more than the end of its pipe.
  pipe.on('error', () => undefined);
  pipe.write(`${JSON.stringify(order)}\n`);
  const lines = createInterface({ input: pipe });
  lines.on('line', text => {
    if (wrong !== null) return;
    const line = readPlayLine(text);
    if (line === null) stop('it wrote something that makes no sense');
    else {
      done ||= !('step' in line);
      onLine(line);
    }
  });
  const ended = await new Promise<string>(resolve => {
    child.once('error', cause => resolve(cause.message));
    child.once('close', (code, signal) => resolve(signal === null ? `it exited with ${code}` : `${signal} ended it`));
  });
  cancel();
  return wrong ?? (done ? null : printable(ended));
}
