import { copyFileSync, mkdirSync, readFileSync, statSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { expect, test } from 'vitest';
import { startChild } from '../support/child.ts';
import { expectWholeRecord, seededRandom } from '../support/kill-rounds.ts';
import { freshFolder } from '../support/record.ts';

test('whatever a power cut leaves of the write-ahead log, the record opens to whole commits with their totals', async () => {
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
  for (let round = 0; round < 24; round++) {
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
      else bytes.fill(0, at, at + 4096);
      writeFileSync(torn, bytes);
    }
    expectWholeRecord(copy, []);
  }
}, 60_000);
