import { appendFileSync, readFileSync, rmSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { crc32 } from 'node:zlib';
import { describe, expect, test } from 'vitest';
import { isAsClosed, noteClosed } from '../../agent/store/closed-whole.ts';
import { destroy, makeNoisy, pagesIn } from '../support/damage.ts';
import { batch, freshFolder, openTestRecord, reading, START_AT } from '../support/record.ts';

const closed = (days = 1) => {
  const dir = freshFolder();
  makeNoisy(dir, days);
  return { dir, path: join(dir, 'record.db'), note: join(dir, 'closed.txt') };
};

function flip(path: string, at: number): void {
  const bytes = readFileSync(path);
  bytes[at] = bytes[at]! ^ 1;
  writeFileSync(path, bytes);
}

describe('a record that was closed in order', () => {
  test('is known again by its size and the checksum over all of it', () => {
    const { path, note } = closed();
    const bytes = readFileSync(path);
    expect(bytes.length).toBeGreaterThan(2 * 65_536);
    expect(readFileSync(note, 'utf8')).toBe(
      `${bytes.length} bytes, crc32 ${crc32(bytes).toString(16).padStart(8, '0')}\n`,
    );
    expect(isAsClosed(path)).toBe(true);
  });

  test.each<[string, (at: ReturnType<typeof closed>) => void]>([
    ['one bit of it is another', ({ path }) => flip(path, readFileSync(path).length - 10)],
    ['it is shorter', ({ path }) => truncateSync(path, readFileSync(path).length - 4096)],
    ['it is longer', ({ path }) => appendFileSync(path, Buffer.alloc(4096))],
    ['a log lies beside it', ({ path }) => writeFileSync(`${path}-wal`, 'more')],
    ['what it was is not noted', ({ note }) => rmSync(note)],
    ['the note was broken off', ({ note }) => truncateSync(note, 9)],
    ['the note is of another one', ({ note }) => writeFileSync(note, readFileSync(closed(2).note))],
    ['it is gone', ({ path }) => rmSync(path)],
  ])('is not where %s', (_what, harm) => {
    const at = closed();
    harm(at);
    expect(isAsClosed(at.path)).toBe(false);
  });

  test('is opened without the check of its structure, which any other one gets', () => {
    const { dir, path } = closed();
    destroy(dir, [Math.floor(pagesIn(dir) / 2)]);
    expect(() => openTestRecord(dir)).toThrow(expect.objectContaining({ code: 'RECORD_DAMAGED' }));
    // As if it had been so when it was closed.
    noteClosed(path);
    const record = openTestRecord(dir);
    expect(record.check()).not.toEqual([]);
    record.close();
  });

  test('is no more once something was saved and the agent was killed', () => {
    const { dir, path } = closed();
    const record = openTestRecord(dir);
    record.commit(batch([reading(1, { inputPowerW: 1 }, { station: 'barn', at: START_AT })]));
    expect(isAsClosed(path)).toBe(false);
    record.close();
    expect(isAsClosed(path)).toBe(true);
  });
});
