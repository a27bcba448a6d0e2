import { mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readDoor, removeDoor, writeDoor } from '../../agent/sharing/door-file.ts';
import { openSharing, plainName } from '../../agent/sharing/sharing.ts';

let dir: string;
let now: number;
beforeEach(() => {
  dir = mkdtempSync(join(tmpdir(), 'sharing-'));
  now = Date.UTC(2026, 5, 21);
});
afterEach(() => rmSync(dir, { recursive: true, force: true }));

const open = () => openSharing({ dataDir: join(dir, 'data'), nowMs: () => now, note: () => undefined });
const file = () => join(dir, 'data', 'sharing.json');
const phone = { way: 'network', address: '192.0.2.9' } as const;

describe('what is kept of sharing', () => {
  it('is a file for its owner alone that holds no secret, and lets the same ones in after a restart', () => {
    const before = open();
    const { id, token } = before.createToken('Kitchen display', 'view');
    const text = readFileSync(file(), 'utf8');
    expect(statSync(file()).mode & 0o777).toBe(0o600);
    expect(text).not.toContain(token);
    expect(text).not.toContain(before.ownerToken);
    const after = open();
    expect(after.cookieName).toBe(before.cookieName);
    expect(after.find(token, phone)).toEqual({ id, name: 'Kitchen display', scope: 'view' });
  });

  it('lets nobody in where the file was damaged', () => {
    const { token } = open().createToken('Display', 'view');
    writeFileSync(file(), readFileSync(file(), 'utf8').replace(/"scope": "view"/, '"scope": "everything"'));
    expect(open().find(token, phone)).toBeNull();
    writeFileSync(file(), '{');
    expect(open().find(token, phone)).toBeNull();
  });

  it('remembers wrong tries over a restart, and forgets them when the owner lets someone in', () => {
    const sharing = open();
    sharing.invite();
    for (let i = 0; i < 3; i++) expect(() => sharing.tryIn('WRONG', '', phone)).toThrow(/not a code that stands/);
    expect(open().failures()).toBe(3);
    const { code } = sharing.invite();
    sharing.tryIn(code, 'Phone', phone);
    sharing.decide(sharing.waiting()[0]!.id, 'view');
    expect(open().failures()).toBe(0);
  });

  it('lets the verbs in by the secret of this run alone, and over loopback alone', () => {
    const first = open();
    expect(first.find(first.ownerToken, { way: 'loopback', address: '127.0.0.1' })?.scope).toBe('change');
    expect(first.find(first.ownerToken, phone)).toBeNull();
    expect(open().find(first.ownerToken, { way: 'loopback', address: '127.0.0.1' })).toBeNull();
  });

  it('ends the session that was unused longest where there are too many', () => {
    const sharing = open();
    const ended: string[] = [];
    sharing.onEnded(id => ended.push(id));
    const oldest = sharing.createToken('0', 'view');
    for (let i = 1; i <= 200; i++) {
      now += 1000;
      sharing.createToken(String(i), 'view');
    }
    expect(sharing.sessions()).toHaveLength(200);
    expect(ended).toEqual([oldest.id]);
    expect(sharing.find(oldest.token, phone)).toBeNull();
  });
});

describe('a disk that takes nothing', () => {
  it('keeps nobody out and ends no agent: who was let in stays so, and only an end that is not kept is told', () => {
    // A file where the folder should be: nothing can be written below it, by root neither.
    writeFileSync(join(dir, 'data'), '');
    const notes: string[] = [];
    const sharing = openSharing({ dataDir: join(dir, 'data'), nowMs: () => now, note: message => notes.push(message) });
    const { id, token } = sharing.createToken('Display', 'view');
    expect(sharing.find(token, phone)?.scope).toBe('view');
    now += 7_200_000;
    expect(sharing.find(token, { ...phone, address: '192.0.2.77' })?.scope).toBe('view');
    expect(notes.filter(note => note === 'sharing cannot be saved')).toHaveLength(1);
    expect(() => sharing.revoke(id)).toThrow(/after a restart it would be let in again/);
    expect(sharing.find(token, phone)).toBeNull();
    expect(writeDoor(join(dir, 'data'), { url: 'http://127.0.0.1:1/', pid: process.pid, token: 'x' })).toMatch(/^E/);
    sharing.close();
  });
});

describe('the file by which verbs find the agent', () => {
  const door = { url: 'http://127.0.0.1:7420/', pid: process.pid, token: 'secret' };

  it('is for its owner alone, and goes with the agent that wrote it', () => {
    writeDoor(dir, door);
    expect(statSync(join(dir, 'running.json')).mode & 0o777).toBe(0o600);
    expect(readDoor(dir)).toEqual(door);
    removeDoor(dir);
    expect(readDoor(dir)).toBeNull();
  });

  it('stays where another agent wrote it since', () => {
    writeDoor(dir, { ...door, pid: process.pid + 1 });
    removeDoor(dir);
    expect(readDoor(dir)?.pid).toBe(process.pid + 1);
  });
});

describe('a name that a phone gives itself', () => {
  it.each([
    ['Phone in the yard', 'Phone in the yard'],
    ['\u001b[2J\u0007red\nalert', '[2J red alert'],
    ['\u202eenohp', 'enohp'],
    ['  ', 'Phone'],
    ['x'.repeat(200), 'x'.repeat(40)],
  ])('%j is shown as %j', (given, shown) => {
    expect(plainName(given, 'Phone')).toBe(shown);
  });
});
