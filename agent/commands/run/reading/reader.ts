/** A process that answers beside the agent, seen from there: started, spoken to, ended. Its end is told once, with why. */
import { type ChildProcess, spawn } from 'node:child_process';
import { encodeFrame, encodeJson, frameParser, KIND, type Kind, QUIET } from './frames.ts';

/** What it may keep of its own, MB; a year's answer takes a small part of it. */
const FLAGS = ['--max-old-space-size=192'];
const COMPLAINT_CHARS = 2_000;

export interface Reader {
  readonly pid: number | undefined;
  /** @param order as JSON */
  ask(id: number, order: object): void;
  more(id: number): void;
  stop(id: number): void;
  /** Lets it come to its end. */
  finish(): void;
  /** Ends it at once; settles once it is gone. */
  kill(): Promise<void>;
}

export interface ReaderEvents {
  frame(kind: Kind, id: number, payload: Buffer): void;
  /** It is gone; nothing comes after. */
  gone(why: string): void;
}

/**
 * @param entry what Node.js runs
 * @param isQuiet below the usual priority, for good: an account may not raise it again
 * @param flags Node's own
 */
export function startReader(
  entry: string,
  isQuiet: boolean,
  events: ReaderEvents,
  flags: readonly string[] = FLAGS,
): Reader {
  const args = [...flags, entry, ...(isQuiet ? [QUIET] : [])];
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
  const exited = new Promise<void>(resolve => {
    child.once('error', () => resolve());
    child.once('exit', () => resolve());
  });
  const write = (frame: Buffer) => void child.stdin!.write(frame);
  return {
    pid: child.pid,
    ask: (id, order) => write(encodeJson(KIND.ask, id, order)),
    more: id => write(encodeFrame(KIND.more, id)),
    stop: id => write(encodeFrame(KIND.stop, id)),
    finish: () => void child.stdin!.end(),
    kill() {
      child.kill('SIGKILL');
      return exited;
    },
  };
}
