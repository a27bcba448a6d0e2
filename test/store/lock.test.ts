import { createHash } from 'node:crypto';
import { chmodSync, mkdirSync, readdirSync, readFileSync } from 'node:fs';
import { dirname, join } from 'node:path';
import { describe, expect, test } from 'vitest';
import { startChild } from '../support/child.ts';
import { needs } from '../support/needs.ts';
import { batch, freshFolder, openTestRecord, reading } from '../support/record.ts';

interface Said {
  open: boolean;
  code?: string;
  message?: string;
  pid: number;
  tookMs: number;
}

const OPENER = 'test/store/children/opener.ts';
const said = async (child: ReturnType<typeof startChild>): Promise<Said> => {
  const line = await child.line();
  if (line === null) throw new Error(child.stderr());
  return JSON.parse(line) as Said;
};

const contents = (dir: string) =>
  readdirSync(dir).map(file => [
    file,
    createHash('sha256')
      .update(readFileSync(join(dir, file)))
      .digest('hex'),
  ]);

describe('one writer', () => {
  test('of ten agents started at once on one folder exactly one runs, and the others name it', async () => {
    const dir = freshFolder();
    const children = Array.from({ length: 10 }, () => startChild(OPENER, [dir]));
    const answers = await Promise.all(children.map(said));
    const winners = answers.filter(answer => answer.open);
    expect(winners).toHaveLength(1);
    for (const answer of answers.filter(({ open }) => !open)) {
      expect(answer.code).toBe('DATA_BUSY');
      expect(answer.message).toMatch(new RegExp(`another agent \\(pid ${winners[0]!.pid}, since 20\\d\\d-.*Z\\)`));
      expect(answer.tookMs).toBeLessThan(2000);
    }
  }, 60_000);

  test('a killed agent leaves the folder free at once', async () => {
    const dir = freshFolder();
    const first = startChild(OPENER, [dir]);
    expect((await said(first)).open).toBe(true);
    await first.kill();
    expect((await said(startChild(OPENER, [dir]))).open).toBe(true);
  }, 30_000);

  test('a refused agent changes nothing, even in the same process', async () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    record.commit(batch([reading(1, { inputPowerW: 1 })]));
    expect(() => openTestRecord(dir)).toThrow(
      expect.objectContaining({ code: 'DATA_BUSY', message: expect.stringMatching(`pid ${process.pid}, since`) }),
    );
    const second = await said(startChild(OPENER, [dir]));
    expect(second).toMatchObject({ open: false, code: 'DATA_BUSY' });
    record.commit(batch([reading(2, { inputPowerW: 2 })]));
    expect(record.latest('shed')!.seq).toBe(2);
    record.close();
    const before = contents(dir);
    const third = startChild(OPENER, [dir]);
    expect((await said(third)).open).toBe(true);
    const fourth = await said(startChild(OPENER, [dir]));
    expect(fourth.open).toBe(false);
    third.process.stdin!.end();
    expect(await third.ended()).toBe(0);
    const unchanged = (entries: string[][]) => entries.filter(([file]) => file !== 'lock.txt');
    expect(unchanged(contents(dir))).toEqual(unchanged(before));
  }, 30_000);
});

describe('a folder that this user may not enter', () => {
  /** Root may enter anything: it becomes nobody first. An ordinary user locks himself out. */
  const isRoot = process.getuid?.() === 0;
  const scenario = isRoot ? needs('setpriv') : test;
  scenario('is refused with its path and what to do', async () => {
    const dir = freshFolder();
    mkdirSync(dir, { mode: isRoot ? 0o700 : 0 });
    chmodSync(dirname(dir), 0o755);
    const launcher = isRoot ? ['setpriv', '--reuid', '65534', '--regid', '65534', '--clear-groups'] : [];
    const answer = await said(startChild(OPENER, [dir], { launcher }));
    chmodSync(dir, 0o700);
    expect(answer).toMatchObject({ open: false, code: 'DATA_PERMISSION' });
    expect(answer.message).toContain(dir);
  });
});
