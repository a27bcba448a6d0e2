/** What a power cut may leave of a write-ahead log: cut short, a bit flipped, a page of zeros. */
import { copyFileSync, mkdirSync, readFileSync, rmSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import { startChild } from './child.ts';
import { expectWholeRecord, seededRandom } from './kill-rounds.ts';
import { freshFolder } from './record.ts';

/** Tears the log of a killed writer so many times and judges each record that is left. */
export async function tearLogs(rounds: number): Promise<void> {
  const dir = freshFolder();
  const child = startChild('test/store/children/writer.ts', [dir, '1']);
  for (let line = 0; line < 40; line++) expect(await child.line()).not.toBeNull();
  await child.kill();
  const log = join(dir, 'record.db-wal');
  expect(statSync(log).size).toBeGreaterThan(100_000);
  const seed = Date.now() % 2 ** 31;
  console.log(`torn logs: seed ${seed}`);
  const random = seededRandom(seed);
  const below = (n: number) => Math.floor(random() * n);
  for (let round = 0; round < rounds; round++) {
    const copy = freshFolder();
    mkdirSync(copy);
    copyFileSync(join(dir, 'record.db'), join(copy, 'record.db'));
    const torn = join(copy, 'record.db-wal');
    copyFileSync(log, torn);
    const { size } = statSync(torn);
    const at = below(size);
    if (round % 3 === 0) truncateSync(torn, at);
    else {
      const bytes = readFileSync(torn);
      if (round % 3 === 1) bytes[at]! ^= 1 << below(8);
      else bytes.fill(0, at, Math.min(at + 4096, bytes.length));
      writeFileSync(torn, bytes);
    }
    expectWholeRecord(copy, []);
    rmSync(copy, { recursive: true });
  }
}
