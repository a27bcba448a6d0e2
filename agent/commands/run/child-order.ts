/** A short-lived process of the agent: told its order on stdin, it answers with JSON on stdout and ends. */
import { spawn } from 'node:child_process';
import { text } from 'node:stream/consumers';
import { WattkeepError } from '#kit';
import { failureOf } from './reading/failed.ts';
import type { Failed } from './reading/frames.ts';

/** How a failure is told in an answer. */
export interface FailedOrder {
  failed: Failed;
}

/**
 * @param entry what Node.js runs
 * @param order as JSON; not as an argument: those are seen by everybody on this computer
 * @returns its answer, and how to end it early, which settles once it is gone
 */
export function beginOrder<Answer>(entry: string, order: object): { answer: Promise<Answer>; end(): Promise<void> } {
  const child = spawn(process.execPath, [entry], { stdio: ['pipe', 'pipe', 'pipe'] });
  // One that ended before it read has said why.
  child.stdin.on('error', () => undefined);
  child.stdin.end(JSON.stringify(order));
  const ended = new Promise<void>((resolve, reject) => {
    child.once('error', reject);
    child.once('close', () => resolve());
  });
  const answer = Promise.all([text(child.stdout), text(child.stderr), ended]).then(([out, complaint]) => {
    if (out === '') throw new Error(complaint.trim() || 'it ended without an answer');
    return JSON.parse(out) as Answer;
  });
  const end = () => {
    child.kill();
    return ended.catch(() => undefined);
  };
  return { answer, end };
}

/** What `act` gives, or its failure where that is one of the closed list. */
export async function answerOrder<Answer>(act: () => Answer | Promise<Answer>): Promise<Answer | FailedOrder> {
  try {
    return await act();
  } catch (error) {
    if (!(error instanceof WattkeepError)) throw error;
    return { failed: failureOf(error) };
  }
}
