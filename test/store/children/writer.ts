/**
 * Commits readings as fast as it can until it is killed, going on where the record ends, and says after each commit
 * what was acknowledged. Arguments: folder, seed, and `growing` where what was refused is offered again with newer readings
 * behind it. A reading's watts, in tenths, are what it adds to its day in mJ.
 */
import { writeSync } from 'node:fs';
import { WattkeepError } from '#kit';
import type { Batch } from '#messages';
import { openRecord } from '../../../agent/store/open.ts';
import { grown, scriptedBatch } from './scripted.ts';

const [dir, seed] = [process.argv[2]!, Number(process.argv[3])];
const growing = process.argv[4] === 'growing';
const record = openRecord(dir, { nowMs: Date.now, commitIntervalMs: 10_000 });
const session = `run-${seed}`;
let at = record.extent('shed')?.toMs ?? Date.UTC(2026, 5, 3, 9, 15);
let held: Batch | null = null;
for (let seq = 1; ; ) {
  const { batch: fresh, next } = scriptedBatch(session, seq, at, seed);
  const batch: Batch = growing ? grown(held, fresh) : fresh;
  try {
    record.commit(batch);
    // Days of June are long over: they are sealed and unsealed while it is killed.
    if (seq % 50 === 1) record.upkeep();
  } catch (error) {
    if (!(error instanceof WattkeepError)) throw error;
    writeSync(1, `${JSON.stringify({ failed: error.code, trouble: record.savedState().trouble, seq })}\n`);
    // The same readings again: nothing may count twice, whatever became of them.
    if (!growing) continue;
    held = batch;
    [seq, at] = [next.seq, next.at];
    continue;
  }
  held = null;
  [seq, at] = [next.seq, next.at];
  writeSync(1, `${JSON.stringify({ session, seq: seq - 1 })}\n`);
}
