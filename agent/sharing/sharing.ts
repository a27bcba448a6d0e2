/**
 * Sharing as the agent uses it: who may come in, pairing, and what the owner decides. The decisions stand in sessions
 * and pairing; here they meet the file, the clock and chance. Secrets leave by the answer that gives them, once.
 */
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import type { Scope } from '#messages';
import { hindered, readSharing, writeSharing } from './kept.ts';
import { Pairing, type Waiting } from './pairing.ts';
import { digestOf, meantCode, newCode, newId, newLinkToken, newSessionToken } from './secrets.ts';
import { changeUntilOf, type Session, scopeNow, sessionOf, stillOpen, type Way } from './sessions.ts';
import { twoWords } from './two-words.ts';

/** An instant of use is written at most this often, ms. */
const NOTE_EVERY_MS = 3_600_000;
const LONGEST_NAME = 40;
/** Sessions at once; beyond it the one longest unused goes. */
const MOST_SESSIONS = 200;
/** Of the agent's own verbs, through the secret of this run. */
const OWNER_ID = 'owner';

export interface From {
  readonly way: Way;
  readonly address: string;
}

export interface Admitted {
  readonly id: string;
  readonly name: string;
  readonly scope: Scope;
}

/** What becomes of a try or of asking again; `token` is the new session's. */
export type Asking =
  | { readonly state: 'waiting'; readonly request: string; readonly words: string }
  | { readonly state: 'allowed'; readonly scope: Scope; readonly token: string }
  | { readonly state: 'refused' | 'over' };

export interface SharingParts {
  readonly dataDir: string;
  nowMs(): number;
  /** What was tried and decided, without any secret. */
  note(message: string, fields: Readonly<Record<string, unknown>>): void;
}

export type Sharing = ReturnType<typeof openSharing>;

/** A name as it may be shown anywhere: no control characters, not longer than a line. */
export const plainName = (text: string, otherwise: string): string =>
  text.replace(/\p{C}/gu, ' ').trim().replace(/\s+/g, ' ').slice(0, LONGEST_NAME) || otherwise;

export function openSharing({ dataDir, nowMs, note }: SharingParts) {
  const path = join(dataDir, 'sharing.json');
  const kept = readSharing(path);
  const pairing = new Pairing(kept.failures);
  let sessions = stillOpen(kept.sessions, nowMs());
  const ownerToken = newSessionToken();
  const ownerDigest = digestOf(ownerToken);
  /** That the disk takes nothing is told once until it does again. */
  let untold = true;
  const onEnded = new Set<(id: string) => void>();
  const onWaiting = new Set<(asker: Waiting) => void>();

  /** A disk that takes nothing keeps nobody from reading: what was not saved holds until the agent ends. */
  function save(): string | null {
    const hindrance = hindered(() =>
      writeSharing(path, { instance: kept.instance, failures: pairing.failures, sessions }),
    );
    if (hindrance !== null && !untold) return hindrance;
    if (hindrance !== null) note('sharing cannot be saved', { cause: hindrance });
    untold = hindrance === null;
    return hindrance;
  }

  function add(session: Omit<Session, 'id' | 'digest' | 'madeAt' | 'lastSeenAt'>): { id: string; token: string } {
    const token = newSessionToken();
    const id = newId();
    const now = nowMs();
    const open = stillOpen(sessions, now).sort((a, b) => b.lastSeenAt - a.lastSeenAt);
    for (const { id: gone } of open.slice(MOST_SESSIONS - 1)) tellEnded(gone);
    sessions = [
      ...open.slice(0, MOST_SESSIONS - 1),
      { ...session, id, digest: digestOf(token), madeAt: now, lastSeenAt: now },
    ];
    save();
    note('a session was made', { session: id, name: session.name, scope: session.scope, here: session.here });
    return { id, token };
  }

  function see(session: Session, address: string): void {
    const now = nowMs();
    const isNews = now - session.lastSeenAt > NOTE_EVERY_MS || session.lastAddress !== address;
    const seen = { ...session, lastSeenAt: Math.max(now, session.lastSeenAt), lastAddress: address };
    sessions = sessions.map(one => (one.id === session.id ? seen : one));
    if (isNews) save();
  }

  function tellEnded(id: string): void {
    for (const listener of onEnded) listener(id);
  }

  /** Judges what a phone sent; a browser of this computer is let in by its link alone. */
  function tryIn(secret: string, name: string, from: From): Asking {
    const now = nowMs();
    const before = pairing.failures.length;
    const verdict = pairing.try(digestOf(secret.trim()), digestOf(meantCode(secret)), from, now);
    if (pairing.failures.length > before) {
      note('a wrong code was tried', { address: from.address, tries: pairing.failures.length });
      save();
    }
    if (verdict === 'locked')
      throw new WattkeepError(
        'PAIRING_LOCKED',
        'Too many wrong codes were tried; pairing is locked.',
        'Unlock it in Setup on wattkeep’s own computer, or run wattkeep pair unlock there.',
      );
    if (verdict === 'wrong')
      throw new WattkeepError(
        'PAIRING_REFUSED',
        'That is not a code that stands: it was mistyped, used, or is too old.',
        'Ask for a new one in Setup or with wattkeep pair.',
      );
    if (verdict === 'here') {
      const scope = 'change';
      const made = add({
        kind: 'browser',
        name: plainName(name, 'Browser'),
        scope,
        here: true,
        lastAddress: from.address,
      });
      return { state: 'allowed', scope, token: made.token };
    }
    const request = newLinkToken();
    const asker = {
      id: newId(),
      digest: digestOf(request),
      name: plainName(name, 'Phone'),
      address: from.address,
      words: twoWords(),
      askedAt: now,
    };
    pairing.wait(asker, now);
    note('a phone waits for the owner', { name: asker.name, address: asker.address });
    for (const listener of onWaiting) listener({ ...asker, decided: null });
    return { state: 'waiting', request, words: asker.words };
  }

  function askAgain(request: string): Asking {
    const asker = pairing.askAgain(digestOf(request), nowMs());
    if (asker === null) return { state: 'over' };
    if (asker.decided === null) return { state: 'waiting', request, words: asker.words };
    const { scope } = asker.decided;
    if (scope === null) return { state: 'refused' };
    const made = add({ kind: 'browser', name: asker.name, scope, here: false, lastAddress: asker.address });
    return { state: 'allowed', scope, token: made.token };
  }

  return {
    cookieName: `wattkeep-${kept.instance}`,
    /** Of this run; for the file that the verbs read. */
    ownerToken,

    /** The session of a secret and what it may; null where there is none. Notes that it was seen. */
    find(secret: string, from: From): Admitted | null {
      const digest = digestOf(secret);
      const session = sessionOf(sessions, digest);
      const isOwner = sessionOf([{ digest: ownerDigest } as Session], digest) !== null;
      if (isOwner) return from.way === 'loopback' ? { id: OWNER_ID, name: 'wattkeep', scope: 'change' } : null;
      const scope = session === null ? null : scopeNow(session, from.way, nowMs());
      if (session === null || scope === null) return null;
      see(session, from.address);
      return { id: session.id, name: session.name, scope };
    },
    /** What the session of an id may now; null once it is over. */
    scopeOf(id: string, way: Way): Scope | null {
      if (id === OWNER_ID) return 'change';
      const session = sessions.find(one => one.id === id);
      return session === undefined ? null : scopeNow(session, way, nowMs());
    },

    tryIn,
    askAgain,

    /** @throws WattkeepError PAIRING_LOCKED */
    invite(): { token: string; code: string; until: number } {
      if (pairing.isLocked())
        throw new WattkeepError(
          'PAIRING_LOCKED',
          `${pairing.failures.length} wrong codes were tried; pairing is locked.`,
          'If that was nobody you know, leave sharing off. wattkeep pair unlock forgets the tries.',
        );
      const token = newLinkToken();
      const code = newCode();
      return { token, code, until: pairing.invite(digestOf(token), digestOf(code), nowMs()) };
    },
    linkHere(): { token: string; until: number } {
      const token = newLinkToken();
      return { token, until: pairing.linkHere(digestOf(token), nowMs()) };
    },
    withdraw: () => pairing.withdraw(),
    /** The owner's word on one who waits; null refuses. False where nobody of that id waits. */
    decide(id: string, scope: Scope | null): boolean {
      const known = pairing.decide(id, scope, nowMs());
      if (known) note('the owner decided', { request: id, scope: scope ?? 'refused' });
      if (known && scope !== null) {
        pairing.forgive();
        save();
      }
      return known;
    },
    unlock(): void {
      pairing.forgive();
      save();
    },

    createToken: (name: string, scope: Scope) =>
      add({ kind: 'script', name: plainName(name, 'Script'), scope, here: false, lastAddress: '' }),
    /** Ends a session; false where there is none of that id. */
    revoke(id: string): boolean {
      const rest = sessions.filter(one => one.id !== id);
      if (rest.length === sessions.length) return false;
      sessions = rest;
      note('a session was ended', { session: id });
      tellEnded(id);
      const hindrance = save();
      if (hindrance !== null)
        throw new WattkeepError(
          hindrance === 'ENOSPC' ? 'DISK_FULL' : 'DISK_READ_ONLY',
          `It is ended for now, but that could not be saved (${hindrance}): after a restart it would be let in again.`,
          'Let the disk take files again before wattkeep is stopped.',
        );
      return true;
    },

    sessions: () => stillOpen(sessions, nowMs()).map(one => ({ ...one, changeUntil: changeUntilOf(one) })),
    waiting: () => pairing.waiting(nowMs()),
    invitedUntil: () => pairing.invitedUntil(nowMs()),
    failures: () => pairing.failures.length,
    isLocked: () => pairing.isLocked(),

    onEnded: (listener: (id: string) => void) => void onEnded.add(listener),
    onWaiting: (listener: (asker: Waiting) => void) => void onWaiting.add(listener),
    /** Writes when each was last seen. */
    close: () => void save(),
  };
}
