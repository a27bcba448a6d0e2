/** The process that reads the record, seen from the agent: started, spoken to, ended. Its end is told once, with why. */
import { type ChildProcess, spawn } from 'node:child_process';
import { encodeFrame, encodeJson, frameParser, KIND, type Kind, QUIET } from './frames.ts';
import type { ReadOrder } from './order.ts';

/** What it may keep of its own; a year's answer takes a small part of it. */
const HEAP_MB = 192;
const COMPLAINT_CHARS = 2_000;

export interface Reader {
  readonly pid: number | undefined;
  ask(id: number, order: ReadOrder): void;
  more(id: number): void;
  stop(id: number): void;
  /** Lets it come to its end. */
  finish(): void;
  /** Ends it at once. */
  kill(): void;
}

export interface ReaderEvents {
  frame(kind: Kind, id: number, payload: Buffer): void;
  /** It is gone; nothing comes after. */
  gone(why: string): void;
}

/**
 * @param entry the built read-child.js
 * @param isQuiet below the usual priority, for good: an account may not raise it again
 */
export function startReader(entry: string, isQuiet: boolean, events: ReaderEvents): Reader {
  const args = [`--max-old-space-size=${HEAP_MB}`, entry, ...(isQuiet ? [QUIET] : [])];
  const child: ChildProcess = spawn(process.execPath, args, { stdio: ['pipe', 'pipe', 'pipe'] });
  let complaint = '';
  let gone = false;
  const end = (why: string) => {
    if (gone) return;
    gone = true;
    events.gone(complaint.trim() === '' ? why : `${why}: ${complaint.trim()}`);
  };
  const parse = frameParser((kind, id, payload) => {
    if (!gone) events.frame(kind, id, payload);
  });
  child.stdout!.on('data', (chunk: Buffer) => {
    try {
      parse(chunk);
    } catch (error) {
      child.kill('SIGKILL');
      end(String(error));
    }
  });
  child.stderr!.on('data', text => {
    complaint = `${complaint}${text}`.slice(-COMPLAINT_CHARS);
  });
  // One that is gone says why with its end.
  child.stdin!.on('error', () => undefined);
  child.once('error', error => end(error.message));
  child.once('close', (code, signal) => end(signal === null ? `it exited with ${code}` : `it was ended by ${signal}`));
  const write = (frame: Buffer) => void child.stdin!.write(frame);
  return {
    pid: child.pid,
    ask: (id, order) => write(encodeJson(KIND.ask, id, order)),
    more: id => write(encodeFrame(KIND.more, id)),
    stop: id => write(encodeFrame(KIND.stop, id)),
    finish: () => void child.stdin!.end(),
    kill: () => void child.kill('SIGKILL'),
  };
}
