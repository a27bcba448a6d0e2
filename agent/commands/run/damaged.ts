/** What the agent does about damage: a rescue before it opens its record, a check beside it where that one is large. */
import { spawn } from 'node:child_process';
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { text } from 'node:stream/consumers';
import { ERROR_CODES, type ErrorCode, WattkeepError } from '#kit';
import type { Log } from '../../log/log.ts';
import { CHECK_AT_OPEN_MAX_BYTES } from '../../store/connection.ts';
import { leaveDamageSign } from '../../store/keep/damage.ts';
import { DAMAGED, rescued } from '../record-words.ts';
import type { RecordAnswer, RecordOrder } from './record-child.ts';

const entryOf = (dist: string) => join(dist, 'agent', 'commands', 'run', 'record-child.js');

/** @returns its answer, and how to end it early */
function begin(dist: string, order: RecordOrder): { answer: Promise<RecordAnswer>; end(): void } {
  const child = spawn(process.execPath, [entryOf(dist)], { stdio: ['pipe', 'pipe', 'pipe'] });
  // One that ended before it read has said why.
  child.stdin.on('error', () => undefined);
  child.stdin.end(JSON.stringify(order));
  const ended = new Promise<void>((resolve, reject) => {
    child.once('error', reject);
    child.once('close', () => resolve());
  });
  const answer = Promise.all([text(child.stdout), text(child.stderr), ended]).then(([out, complaint]) => {
    if (out === '') throw new Error(complaint.trim() || 'it ended without an answer');
    return JSON.parse(out) as RecordAnswer;
  });
  return { answer, end: () => void child.kill() };
}

/** Rescues what can be read. Throws WattkeepError where not even that can be done; nothing was moved then. */
export async function rescue(dist: string, order: Omit<RecordOrder, 'act'>, log: Log): Promise<void> {
  log.error('record', 'the record is damaged; what can be read of it is being rescued', { dir: order.dir });
  const answer = await begin(dist, { ...order, act: 'rescue' }).answer;
  if ('failed' in answer) {
    const { code, message, fix } = answer.failed;
    throw new WattkeepError(ERROR_CODES.find((one): one is ErrorCode => one === code) ?? 'INTERNAL', message, fix);
  }
  if (!('rescued' in answer)) return;
  const { keptAs, readings, lostBlocks } = answer.rescued;
  log.error('record', rescued(keptAs, readings, lostBlocks), { daysCounted: answer.daysCounted });
}

/**
 * Reads every page of a record that is too large for the start to do it. What it finds is written in the log and leaves
 * a sign, by which the page tells it and the next start rescues.
 *
 * @param leastBytes smaller ones were checked as they were opened
 * @returns ends it
 */
export function checkBeside(
  dist: string,
  order: Omit<RecordOrder, 'act'>,
  log: Log,
  leastBytes = CHECK_AT_OPEN_MAX_BYTES,
): () => void {
  if (statSync(join(order.dir, 'record.db')).size <= leastBytes) return () => undefined;
  const { answer, end } = begin(dist, { ...order, act: 'check' });
  let wanted = true;
  answer.then(
    told => {
      const finding = 'findings' in told ? told.findings[0] : 'failed' in told ? told.failed.message : undefined;
      if (finding === undefined || !wanted) return;
      log.error('record', DAMAGED, { finding });
      leaveDamageSign(order.dir, finding);
    },
    (cause: unknown) => {
      if (wanted) log.error('record', 'the record could not be checked', { why: String(cause) });
    },
  );
  return () => {
    wanted = false;
    end();
  };
}
