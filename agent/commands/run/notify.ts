/**
 * Tells systemd how the agent does, where it was started as a service: ready, stopping, and "still at work" to its
 * watchdog (sd_notify(3), from memory). Only a commit that came to its end is told as work, never the passing of time.
 * Node has no Unix datagram sockets, so a system program says it, started by a shell that waits beside the agent:
 * starting one from here holds everything else up for as long as the system takes.
 */
import { type ChildProcess, spawn } from 'node:child_process';
import type { Socket } from 'node:net';
import type { ErrorCode } from '#kit';
import { findProgram } from '../../host/launch.ts';

export interface Notifier {
  /** It serves and records. */
  ready(): void;
  /**
   * A commit came to its end.
   *
   * @param failure null: all is saved, or nothing was to be saved; else why nothing was
   * @param commitIntervalMs how soon the next one is due
   */
  settled(failure: ErrorCode | null, commitIntervalMs: number): void;
  stopping(): void;
}

export interface NotifierParts {
  /** Within which it must be told of work, as it was started; null without a watchdog. */
  readonly watchdogMs: number | null;
  monoMs(): number;
  /** Never throws. */
  send(assignments: readonly string[]): void;
}

/**
 * Failures that starting anew does not mend: the owner has to make room, and meanwhile the live view must go on. A
 * damaged record is rescued at a start, a connection that hangs is opened anew: those let the watchdog run out.
 */
const NOT_MENDED_BY_RESTART: ReadonlySet<ErrorCode | null> = new Set(['DISK_FULL', 'DISK_READ_ONLY']);

/** Of the watchdog's time: so seldom a process is started, and so much is left for one that comes late. */
const FED_AFTER = 1 / 4;
/** Commits are up to a minute apart; so many of them may be missed. */
const COMMITS_ALLOWED = 3;

export function createNotifier({ watchdogMs, monoMs, send }: NotifierParts): Notifier {
  const waiting = new Map<string, string>();
  let allowedMs = watchdogMs;
  let fedMono = Number.NEGATIVE_INFINITY;
  let status = '';

  const tell = (name: string, value: string): void => {
    // What is told in the same turn goes in one message.
    if (waiting.size === 0)
      queueMicrotask(() => {
        const assignments = [...waiting].map(([key, said]) => `${key}=${said}`);
        waiting.clear();
        send(assignments);
      });
    waiting.set(name, value);
  };

  return {
    ready: () => tell('READY', '1'),
    stopping: () => tell('STOPPING', '1'),
    settled(failure, commitIntervalMs) {
      const says = failure === null ? 'Recording.' : `Nothing is being saved (${failure}).`;
      if (says !== status) tell('STATUS', says);
      status = says;
      if (watchdogMs === null || allowedMs === null) return;
      if (failure !== null && !NOT_MENDED_BY_RESTART.has(failure)) return;
      const allowedNextMs = Math.max(watchdogMs, COMMITS_ALLOWED * commitIntervalMs);
      const otherwise = allowedNextMs !== allowedMs;
      if (otherwise) tell('WATCHDOG_USEC', String(allowedNextMs * 1000));
      allowedMs = allowedNextMs;
      if (!otherwise && monoMs() - fedMono < allowedMs * FED_AFTER) return;
      fedMono = monoMs();
      tell('WATCHDOG', '1');
    },
  };
}

/** Says each line of its input, assignments parted by tabs. Ends with the agent, whose end closes the pipe. */
const SAY_LINES = `set -f; IFS='\t'; while read -r said; do "$0" $said; done`;

function speaker(program: string, socket: string): NotifierParts['send'] {
  let shell: ChildProcess | null = null;
  const start = (): ChildProcess => {
    const child = spawn('/bin/sh', ['-c', SAY_LINES, program], {
      stdio: ['pipe', 'ignore', 'ignore'],
      env: { NOTIFY_SOCKET: socket },
    });
    // Nothing can be done about it here; systemd acts by itself where it hears nothing. The next word starts another.
    const lose = () => {
      if (shell === child) shell = null;
    };
    child.once('error', lose);
    child.once('exit', lose);
    child.stdin.on('error', lose);
    child.unref();
    // As a pipe it is a socket; it must not keep the agent from ending.
    (child.stdin as Socket).unref();
    return child;
  };
  return assignments => {
    shell ??= start();
    shell.stdin?.write(`${assignments.join('\t')}\n`);
  };
}

/**
 * The notifier of a process that systemd started, or null. Takes its variables out of the environment: what the agent
 * starts must not speak for it.
 */
export function notifierOf(env: NodeJS.ProcessEnv, monoMs: () => number): Notifier | null {
  const { NOTIFY_SOCKET: socket, WATCHDOG_USEC: spanUs = '', WATCHDOG_PID: pid } = env;
  delete env.NOTIFY_SOCKET;
  delete env.WATCHDOG_USEC;
  delete env.WATCHDOG_PID;
  const program = findProgram('systemd-notify');
  if (socket === undefined || socket === '' || program === null) return null;
  const watched = /^[1-9]\d*$/.test(spanUs) && (pid === undefined || pid === String(process.pid));
  return createNotifier({
    watchdogMs: watched ? Number(spanUs) / 1000 : null,
    monoMs,
    send: speaker(program, socket),
  });
}
