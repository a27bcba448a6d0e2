import { copyFileSync, existsSync, readdirSync, readFileSync, rmSync, truncateSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { noteTold } from '../../agent/commands/record-words.ts';
import { snapshotRecord } from '../../agent/store/keep/snapshot-record.ts';
import { openRecord } from '../../agent/store/open.ts';
import { startChild } from '../support/child.ts';
import { expectWholeRecord } from '../support/kill-rounds.ts';
import { freshFolder, openTestRecord, START_AT } from '../support/record.ts';

const FAR = 8.64e15;

/** The folder of a writer that was killed, with its log. */
async function killed(seed: number, lines: number): Promise<string> {
  const dir = freshFolder();
  const child = startChild('test/store/children/writer.ts', [dir, String(seed)]);
  for (let line = 0; line < lines; line++) expect(await child.line()).not.toBeNull();
  await child.kill();
  return dir;
}

const lostOf = (dir: string) => {
  const record = openTestRecord(dir);
  const found = record.savedState().notes!.filter(note => note.kind === 'lostLog');
  record.close();
  return found;
};

describe('a record that was killed', () => {
  it('says nothing of its log where it lies beside it, nor after a clean end', async () => {
    const dir = await killed(1, 300);
    expect(lostOf(dir)).toEqual([]);
    expect(existsSync(join(dir, 'record.db-wal'))).toBe(false);
    expect(lostOf(dir)).toEqual([]);
  });

  it.each(['deleted', 'cut to nothing'])(
    'opens to whole commits where its log was %s, and tells what is lost',
    async how => {
      const dir = await killed(1, 300);
      const log = join(dir, 'record.db-wal');
      if (how === 'deleted') rmSync(log);
      else truncateSync(log);
      const [note] = lostOf(dir);
      expectWholeRecord(dir, []);
      const record = openTestRecord(dir);
      expect(note).toEqual({ kind: 'lostLog', keptAs: null, lastAt: record.extent('shed')?.toMs ?? null });
      expect(noteTold(note!)).toMatch(/log .*missing.*is lost.*wattkeep snapshot/s);
    },
  );

  it.each(['with', 'without'])(
    'never takes the log of another record for its own, %s its shared memory: that is kept, and told',
    async shared => {
      const dir = await killed(1, 300);
      const other = await killed(2, 260);
      const log = join(dir, 'record.db-wal');
      const foreign = readFileSync(join(other, 'record.db-wal'));
      copyFileSync(join(other, 'record.db-wal'), log);
      if (shared === 'without') rmSync(join(dir, 'record.db-shm'));
      const read = { nowMs: () => START_AT, commitIntervalMs: 10_000, readOnly: true };
      const refused = expect.objectContaining({
        code: 'RECORD_DAMAGED',
        fix: expect.stringMatching(/Start the agent/),
      });
      expect(() => openRecord(dir, read)).toThrow(refused);
      const file = join(dirname(dir), 'copy.db');
      expect(() => snapshotRecord(dir, file, { atMs: START_AT, program: '1' })).toThrow(refused);
      const [note] = lostOf(dir);
      expectWholeRecord(dir, []);
      const record = openTestRecord(dir);
      for (const reading of record.readings('shed', 0, FAR)) expect(reading.session).toBe('run-1');
      const [keptAs] = readdirSync(dir).filter(name => name.startsWith('record.db-wal.other-'));
      expect(note).toMatchObject({ keptAs });
      expect(readFileSync(join(dir, keptAs!)).equals(foreign)).toBe(true);
      expect(noteTold(note!)).toMatch(new RegExp(`kept as ${keptAs}.*may be lost`, 's'));
    },
  );
});
