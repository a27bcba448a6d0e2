/** Opens the record in a folder, says how that went in one line, and holds it until its stdin closes. */
import { writeSync } from 'node:fs';
import { WattkeepError } from '#kit';
import { openRecord } from '../../../agent/store/open.ts';

const startedMs = performance.now();
const say = (said: object) =>
  writeSync(1, `${JSON.stringify({ ...said, tookMs: performance.now() - startedMs, pid: process.pid })}\n`);

try {
  const record = openRecord(process.argv[2]!, { nowMs: Date.now, commitIntervalMs: 10_000 });
  say({ open: true });
  process.stdin.on('end', () => record.close()).resume();
} catch (error) {
  if (!(error instanceof WattkeepError)) throw error;
  say({ open: false, code: error.code, message: error.message, fix: error.fix });
}
