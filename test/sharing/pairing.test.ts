import { describe, expect, it } from 'vitest';
import { INVITATION_LIVES_MS, Pairing, WAITING_LIVES_MS } from '../../agent/sharing/pairing.ts';
import { digestOf } from '../../agent/sharing/secrets.ts';

const TOKEN = digestOf('the token');
const CODE = digestOf('ABCD1234');
const WRONG = digestOf('wrong');
const MINUTE_MS = 60_000;
const from = (address: string, way: 'loopback' | 'network' = 'network') => ({ address, way });
const phone = from('192.0.2.9');

/** Tries something wrong at a fresh invitation. */
function guess(pairing: Pairing, address: string, at: number) {
  pairing.invite(TOKEN, CODE, at);
  return pairing.try(WRONG, WRONG, from(address), at);
}

describe('an invitation', () => {
  it('is taken up by its link or by its code, and by only one of them once', () => {
    const pairing = new Pairing([]);
    pairing.invite(TOKEN, CODE, 0);
    expect(pairing.try(TOKEN, WRONG, phone, 1)).toBe('phone');
    expect(pairing.try(TOKEN, WRONG, phone, 2)).toBe('wrong');
    expect(pairing.try(WRONG, CODE, phone, 3)).toBe('wrong');
    pairing.invite(TOKEN, CODE, 4);
    expect(pairing.try(WRONG, CODE, phone, 5)).toBe('phone');
  });

  it('holds for five minutes', () => {
    const pairing = new Pairing([]);
    expect(pairing.invite(TOKEN, CODE, 0)).toBe(5 * MINUTE_MS);
    expect(pairing.invitedUntil(INVITATION_LIVES_MS)).toBe(INVITATION_LIVES_MS);
    expect(pairing.try(WRONG, CODE, phone, INVITATION_LIVES_MS + 1)).toBe('wrong');
    expect(pairing.invitedUntil(INVITATION_LIVES_MS + 1)).toBeNull();
  });

  it('ends with the one that comes after it', () => {
    const pairing = new Pairing([]);
    pairing.invite(TOKEN, CODE, 0);
    pairing.invite(digestOf('another'), digestOf('EFGH5678'), 1);
    expect(pairing.try(TOKEN, CODE, phone, 2)).toBe('wrong');
  });

  it('is dead after five wrong tries: even the right code then fails', () => {
    const pairing = new Pairing([]);
    pairing.invite(TOKEN, CODE, 0);
    for (let i = 0; i < 5; i++) expect(pairing.try(WRONG, WRONG, phone, i)).toBe('wrong');
    expect(pairing.try(WRONG, CODE, phone, 6)).toBe('wrong');
    expect(pairing.failures).toHaveLength(5);
  });

  it('counts nothing where nothing stands to be guessed', () => {
    const pairing = new Pairing([]);
    for (let i = 0; i < 500; i++) pairing.try(WRONG, WRONG, phone, i);
    expect(pairing.failures).toEqual([]);
  });
});

describe('too many wrong tries', () => {
  it('shut an address out after twenty within an hour, and nobody else, until the owner acts', () => {
    const pairing = new Pairing([]);
    for (let i = 0; i < 20; i++) guess(pairing, '192.0.2.9', i * MINUTE_MS);
    const later = 48 * 60 * MINUTE_MS;
    expect(guess(pairing, '192.0.2.9', later)).toBe('locked');
    expect(guess(pairing, '192.0.2.10', later)).toBe('wrong');
    pairing.forgive();
    expect(guess(pairing, '192.0.2.9', later)).toBe('wrong');
  });

  it('do not shut out whoever mistypes twenty times over many hours', () => {
    const pairing = new Pairing([]);
    for (let i = 0; i < 25; i++) expect(guess(pairing, '192.0.2.9', i * 4 * MINUTE_MS)).toBe('wrong');
  });

  it('lock pairing for everyone after a hundred, over a restart too, until the owner acts', () => {
    const pairing = new Pairing([]);
    for (let i = 0; i < 100; i++) guess(pairing, `192.0.2.${i}`, i);
    expect(pairing.isLocked()).toBe(true);
    const restarted = new Pairing(pairing.failures);
    restarted.invite(TOKEN, CODE, 1000);
    expect(restarted.try(TOKEN, CODE, from('192.0.2.200'), 1000)).toBe('locked');
    restarted.forgive();
    expect(restarted.try(TOKEN, CODE, from('192.0.2.200'), 1000)).toBe('phone');
  });
});

describe('a link for this computer', () => {
  it('works over loopback alone and once', () => {
    const pairing = new Pairing([]);
    pairing.linkHere(TOKEN, 0);
    expect(pairing.try(TOKEN, WRONG, phone, 1)).toBe('wrong');
    expect(pairing.try(TOKEN, WRONG, from('127.0.0.1', 'loopback'), 2)).toBe('here');
    expect(pairing.try(TOKEN, WRONG, from('127.0.0.1', 'loopback'), 3)).toBe('wrong');
  });
});

describe('one who waits', () => {
  const asker = { id: 'a1', digest: TOKEN, name: 'Phone', address: '192.0.2.9', words: 'amber hive', askedAt: 0 };

  it('is told of the owner’s word once, and then of nothing', () => {
    const pairing = new Pairing([]);
    pairing.wait(asker, 0);
    expect(pairing.askAgain(TOKEN, 1)?.decided).toBeNull();
    expect(pairing.decide('a1', 'view', 2)).toBe(true);
    expect(pairing.decide('a1', 'change', 3)).toBe(false);
    expect(pairing.waiting(3)).toEqual([]);
    expect(pairing.askAgain(TOKEN, 4)?.decided).toEqual({ scope: 'view' });
    expect(pairing.askAgain(TOKEN, 5)).toBeNull();
  });

  it('is waited for five minutes, and a word that comes later counts for nothing', () => {
    const pairing = new Pairing([]);
    pairing.wait(asker, 0);
    expect(pairing.decide('a1', 'view', WAITING_LIVES_MS + 1)).toBe(false);
    expect(pairing.askAgain(TOKEN, WAITING_LIVES_MS + 1)).toBeNull();
  });
});
