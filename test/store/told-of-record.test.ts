import { mkdirSync, truncateSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { aheadTold, noteTold } from '../../agent/commands/record-words.ts';
import { openDatabase } from '../../agent/store/kept.ts';
import { LONG_LOG_BYTES, lookAtLog } from '../../agent/store/log-size.ts';
import { batch, freshFolder, openTestRecord, reading } from '../support/record.ts';

describe('a record that reaches into the future', () => {
  const now = Date.UTC(2026, 5, 3);
  it('is told with what to do from where it does not meet the clock by itself', () => {
    expect(aheadTold(null, now)).toEqual([]);
    expect(aheadTold(now + 13 * 3_600_000, now)).toEqual([]);
    expect(aheadTold(now + 365 * 86_400_000, now)[0]).toMatch(
      /^The record reaches to 2027-06-03, .*restore a snapshot/,
    );
  });
});

describe('the write-ahead log', () => {
  it('is told with its size by who writes and who reads, growing while another program holds on to an old state', () => {
    const dir = freshFolder();
    const record = openTestRecord(dir);
    record.commit(batch([reading(1, { inputPowerW: 1 })]));
    const reader = openDatabase(join(dir, 'record.db'), { readonly: true });
    reader.exec('BEGIN');
    reader.prepare('SELECT count(*) FROM station').get();
    const before = record.savedState().logBytes!;
    for (let seq = 2; seq < 12; seq++) record.commit(batch([reading(seq, { inputPowerW: seq })]));
    const { logBytes, notes } = record.savedState();
    expect(logBytes).toBeGreaterThan(before);
    expect(notes).toEqual([]);
    expect(openTestRecord(dir, { readOnly: true }).savedState().logBytes).toBe(logBytes);
    reader.close();
  });

  it('is told as trouble to come beyond its limit, with what to do', () => {
    const dir = freshFolder();
    mkdirSync(dir);
    const path = join(dir, 'record.db');
    expect(lookAtLog(path)).toEqual({ bytes: 0, notes: [] });
    writeFileSync(`${path}-wal`, '');
    truncateSync(`${path}-wal`, LONG_LOG_BYTES);
    expect(lookAtLog(path).notes).toEqual([]);
    truncateSync(`${path}-wal`, 80_000_000);
    const { notes } = lookAtLog(path);
    expect(notes).toEqual([{ kind: 'longLog', bytes: 80_000_000 }]);
    expect(noteTold(notes[0]!)).toMatch(/80 MB .*end that program/s);
  });
});
