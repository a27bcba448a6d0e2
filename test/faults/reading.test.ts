import { cpSync, existsSync, renameSync, rmSync, statSync } from 'node:fs';
import { constants, getPriority } from 'node:os';
import { join } from 'node:path';
import Papa from 'papaparse';
import { describe, expect, test } from 'vitest';
import { ledgerAnswer } from '../../agent/commands/ledger-answer.ts';
import { recordingPieces } from '../../agent/commands/recording-pieces.ts';
import type { RecordingAsked } from '../../agent/commands/run/reading/order.ts';
import { openDatabase } from '../../agent/store/kept.ts';
import { isAlive, openTestDesk, orderOf, recordOfSeconds, until, whole } from '../support/reading-desk.ts';
import { START_AT } from '../support/record.ts';

const HOUR = 3_600;
const FILES = { atOnce: 4, waiting: 16, waitMs: 120_000 };

async function inOneProcess(at: ReturnType<typeof recordOfSeconds>): Promise<Buffer> {
  const wanted = orderOf(at.dir).asked as RecordingAsked;
  const pieces: Uint8Array[] = [];
  for await (const piece of recordingPieces(at.record, wanted, false)) if (piece !== null) pieces.push(piece);
  return Buffer.concat(pieces);
}

describe('the reading desk', () => {
  test('answers from a process of its own, beside the record that writes, and lets it end after a minute', async () => {
    const at = recordOfSeconds(3 * HOUR);
    const desk = openTestDesk(at.dir);
    expect(desk.pid()).toBeUndefined();
    const told = await whole(desk.ask());
    expect(told.equals(await inOneProcess(at))).toBe(true);
    expect(Papa.parse(told.toString().trimEnd()).data).toHaveLength(3 * HOUR + 1);
    const pid = desk.pid()!;
    at.add(10);
    expect(Papa.parse((await whole(desk.ask())).toString().trimEnd()).data).toHaveLength(3 * HOUR + 11);
    expect(desk.pid()).toBe(pid);
    desk.clock.advance(59_000);
    expect(desk.pid()).toBe(pid);
    desk.clock.advance(1_000);
    expect(desk.pid()).toBeUndefined();
    await until(() => !isAlive(pid));
    expect(desk.said).toEqual([]);
  });

  test('reads what a page waits for at the usual priority, beside files that are read below it', async () => {
    const at = recordOfSeconds(3 * HOUR);
    const desk = openTestDesk(at.dir);
    const file = desk.ask();
    await file.next();
    const asked = { what: 'ledger', station: 'shed', zone: 'UTC', from: '2000-01-01', to: '2099-12-31' } as const;
    expect(JSON.parse((await whole(desk.askFor(asked))).toString())).toMatchObject({ station: 'shed' });
    const own = getPriority();
    const below = Math.max(own, constants.priority.PRIORITY_BELOW_NORMAL);
    expect(desk.pids().map(pid => getPriority(pid))).toEqual([own, below]);
  });

  test('is closed once none of its processes holds the record any more, one that was let go included', async () => {
    const at = recordOfSeconds(4 * HOUR);
    const desk = openTestDesk(at.dir);
    await whole(desk.ask());
    const rested = desk.pid()!;
    process.kill(rested, 'SIGSTOP');
    desk.clock.advance(60_000);
    const under = desk.ask();
    await under.next();
    const working = desk.pid()!;
    expect(working).not.toBe(rested);
    await desk.close();
    expect([rested, working].filter(isAlive)).toEqual([]);
    await expect(whole(under)).rejects.toMatchObject({ code: 'READING_ENDED' });
    // Else the agent would stay until that is over.
    expect(desk.waits()).toBe(0);
    at.record.close();
    expect(existsSync(join(at.dir, 'record.db-wal'))).toBe(false);
  });

  test('kill -9 of the process breaks the answers under way off, and the next question starts another', async () => {
    const at = recordOfSeconds(4 * HOUR);
    const desk = openTestDesk(at.dir);
    const [one, other] = [desk.ask(), desk.ask()];
    await Promise.all([one.next(), other.next()]);
    const pid = desk.pid()!;
    process.kill(pid, 'SIGKILL');
    const broken = { code: 'READING_ENDED', message: expect.stringContaining('SIGKILL'), fix: expect.any(String) };
    await expect(whole(one)).rejects.toMatchObject(broken);
    await expect(whole(other)).rejects.toMatchObject(broken);
    expect(desk.said).toEqual(['the process that reads the record ended']);
    expect((await whole(desk.ask())).equals(await inOneProcess(at))).toBe(true);
    expect(desk.pid()).not.toBe(pid);
  });

  test('a process that is stuck is ended by the deadline of one piece', async () => {
    const at = recordOfSeconds(4 * HOUR);
    const desk = openTestDesk(at.dir, { files: { ...FILES, atOnce: 1 } });
    const stuck = desk.ask();
    await stuck.next();
    const pid = desk.pid()!;
    process.kill(pid, 'SIGSTOP');
    const waiting = whole(desk.ask());
    const rest = whole(stuck);
    // What was made before it got stuck still comes.
    await new Promise(resolve => setTimeout(resolve, 200));
    desk.clock.advance(60_000);
    await expect(rest).rejects.toMatchObject({ code: 'READING_ENDED', message: expect.stringContaining('60 s') });
    await until(() => !isAlive(pid));
    expect((await waiting).equals(await inOneProcess(at))).toBe(true);
  });

  test('twenty at once are all answered, four at a time; beyond the bound one is told to wait', async () => {
    const at = recordOfSeconds(2 * HOUR);
    const desk = openTestDesk(at.dir);
    const expected = await inOneProcess(at);
    const all = Array.from({ length: 21 }, () => whole(desk.ask()).catch((error: unknown) => error));
    const told = await Promise.all(all);
    expect(told[20]).toMatchObject({ code: 'READING_BUSY' });
    for (const one of told.slice(0, 20)) expect((one as Buffer).equals(expected)).toBe(true);
  });

  test('questions are answered one at a time beside files that nobody takes', async () => {
    const at = recordOfSeconds(4 * HOUR);
    const desk = openTestDesk(at.dir);
    const files = Array.from({ length: 4 }, () => desk.ask());
    for (const file of files) await file.next();
    const dates = { from: '2026-06-01', to: '2026-06-30' };
    const ledger = { what: 'ledger', station: 'shed', zone: 'UTC', ...dates } as const;
    const request = { station: 'shed', quantities: ['inputPowerW'], fromMs: 0, toMs: 86_400_000, points: 9 } as const;
    const told = await Promise.all(
      [ledger, { what: 'series', request } as const, ledger].map(asked => whole(desk.askFor(asked))),
    );
    const asked = { ...ledger, nowMs: START_AT };
    expect(JSON.parse(told[0]!.toString())).toEqual(JSON.parse(JSON.stringify(ledgerAnswer(at.record, asked))));
    expect(told[2]).toEqual(told[0]);
    expect(JSON.parse(told[1]!.toString())).toMatchObject({ station: 'shed' });
    for (const file of files) await file.return?.();
  });

  test('one that is given up frees its place, in the middle or while it waits', async () => {
    const at = recordOfSeconds(4 * HOUR);
    const desk = openTestDesk(at.dir, { files: { ...FILES, atOnce: 1, waiting: 1 } });
    const first = desk.ask();
    await first.next();
    const waiting = desk.ask();
    const never = waiting.next();
    await expect(desk.ask().next()).rejects.toMatchObject({ code: 'READING_BUSY' });
    await waiting.return?.();
    expect(await never).toEqual({ done: true, value: undefined });
    const next = whole(desk.ask());
    await first.return?.();
    expect((await next).equals(await inOneProcess(at))).toBe(true);
  });

  test('a record that was put in the place of another is read from then on', async () => {
    const [at, other] = [recordOfSeconds(HOUR), recordOfSeconds(2 * HOUR)];
    const desk = openTestDesk(at.dir);
    const before = await whole(desk.ask());
    at.record.close();
    other.record.close();
    rmSync(at.dir, { recursive: true });
    cpSync(other.dir, at.dir, { recursive: true });
    const after = await whole(desk.ask());
    expect(after.length).toBeGreaterThan(1.9 * before.length);
  });

  test('a folder without a record is said in words, and the desk goes on', async () => {
    const at = recordOfSeconds(HOUR);
    const desk = openTestDesk(at.dir);
    at.record.close();
    renameSync(at.dir, `${at.dir}-away`);
    await expect(whole(desk.ask())).rejects.toMatchObject({ code: 'USAGE' });
    renameSync(`${at.dir}-away`, at.dir);
    expect((await whole(desk.ask())).length).toBeGreaterThan(HOUR * 10);
  });
});

describe('a reader that stands still in the middle of an export', () => {
  const walBytes = (dir: string) => statSync(join(dir, 'record.db-wal')).size;

  test('lets the log be emptied, while one open cursor would let it grow', async () => {
    const at = recordOfSeconds(4 * HOUR);
    const desk = openTestDesk(at.dir);
    const slow = desk.ask();
    await slow.next();
    // As live readings come: two or three pages each. SQLite empties its log after a thousand of them.
    const live = (times: number) => {
      for (let i = 0; i < times; i++) at.add(200, 1);
      return walBytes(at.dir);
    };
    const emptiedBytes = 1_300 * 4_120;
    expect(live(5)).toBeLessThan(emptiedBytes);

    const db = openDatabase(join(at.dir, 'record.db'), { readonly: true });
    db.exec('BEGIN');
    db.prepare('SELECT count(*) FROM blk').get();
    for (let tries = 0; tries < 20 && walBytes(at.dir) <= emptiedBytes; tries++) live(1);
    expect(walBytes(at.dir)).toBeGreaterThan(emptiedBytes);
    db.close();
    expect((await whole(slow)).length).toBeGreaterThan(4 * HOUR * 10);
  });
});
