/** What the agent does about damage: a rescue before it opens its record, a check beside it where that one is large. */
import { statSync } from 'node:fs';
import { join } from 'node:path';
import type { Log } from '../../log/log.ts';
import { CHECK_AT_OPEN_MAX_BYTES } from '../../store/connection.ts';
import { leaveDamageSign } from '../../store/keep/damage.ts';
import { DAMAGED, rescued } from '../record-words.ts';
import { beginOrder } from './child-order.ts';
import { errorFrom } from './reading/failed.ts';
import type { RecordAnswer, RecordOrder } from './record-child.ts';

const entryOf = (dist: string) => join(dist, 'agent', 'commands', 'run', 'record-child.js');

const begin = (dist: string, order: RecordOrder) => beginOrder<RecordAnswer>(entryOf(dist), order);

/** Rescues what can be read. Throws WattkeepError where not even that can be done; nothing was moved then. */
export async function rescue(dist: string, order: Omit<RecordOrder, 'act'>, log: Log): Promise<void> {
  log.error('record', 'the record is damaged; what can be read of it is being rescued', { dir: order.dir });
  const answer = await begin(dist, { ...order, act: 'rescue' }).answer;
  if ('failed' in answer) throw errorFrom(answer.failed);
  if (!('rescued' in answer)) return;
  const { keptAs, readings, lostBlocks } = answer.rescued;
  log.error('record', rescued(keptAs, readings, lostBlocks), { daysCounted: answer.daysCounted });
}

/**
 * Reads every page of a record that is too large for the start to do it. What it finds is written in the log and leaves
 * a sign, by which the page tells it and the next start rescues.
 *
 * @param leastBytes smaller ones were checked as they were opened
 * @returns ends it, and settles once it is gone
 */
export function checkBeside(
  dist: string,
  order: Omit<RecordOrder, 'act'>,
  log: Log,
  leastBytes = CHECK_AT_OPEN_MAX_BYTES,
): () => Promise<void> {
  if (statSync(join(order.dir, 'record.db')).size <= leastBytes) return async () => undefined;
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
    return end();
  };
}
