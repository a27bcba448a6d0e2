/**
 * Pairing: one invitation at a time (a link and a code, five minutes, used once), the tries at it, and those who used
 * one and wait for the owner's word. Nothing here reads a clock or draws: instants (epoch ms) and secrets are
 * arguments.
 *
 * A try is judged against every secret that stands, each comparison in constant time; the fifth wrong one ends the
 * invitation. Twenty wrong tries of one address within an hour shut that address out, a hundred in all shut pairing,
 * until the owner acts. Where nothing stands there is nothing to guess, and nothing is counted.
 */
import type { Scope } from '#messages';
import { type Digest, isSame } from './secrets.ts';
import type { Way } from './sessions.ts';

const MINUTE_MS = 60_000;
export const INVITATION_LIVES_MS = 5 * MINUTE_MS;
/** A link for a browser of this computer; it works over loopback alone. */
export const HERE_LINK_LIVES_MS = 60 * MINUTE_MS;
/** How long one who waits is waited for. */
export const WAITING_LIVES_MS = 5 * MINUTE_MS;
const TRIES_AT_ONE = 5;
const FAILURES_AN_ADDRESS = 20;
const FAILURES_IN_ALL = 100;
const HOUR_MS = 60 * MINUTE_MS;
const WAITING_AT_ONCE = 5;

export interface Failure {
  readonly address: string;
  readonly at: number;
}

export interface Waiting {
  readonly id: string;
  /** Of what its asker asks again with. */
  readonly digest: Digest;
  readonly name: string;
  readonly address: string;
  readonly words: string;
  readonly askedAt: number;
  /** The owner's word; null while there is none. */
  readonly decided: { readonly scope: Scope | null } | null;
}

interface Invitation {
  readonly token: Digest;
  readonly code: Digest;
  readonly until: number;
  wrong: number;
}

export type TryVerdict = 'here' | 'phone' | 'wrong' | 'locked';

export class Pairing {
  #invitation: Invitation | null = null;
  #here: { digest: Digest; until: number } | null = null;
  #waiting: Waiting[] = [];
  #failures: Failure[];

  constructor(failures: readonly Failure[]) {
    this.#failures = [...failures];
  }

  get failures(): readonly Failure[] {
    return this.#failures;
  }

  isLocked(): boolean {
    return this.#failures.length >= FAILURES_IN_ALL;
  }

  /** In place of the one before. */
  invite(token: Digest, code: Digest, nowMs: number): number {
    const until = nowMs + INVITATION_LIVES_MS;
    this.#invitation = { token, code, until, wrong: 0 };
    return until;
  }

  /** In place of the one before. */
  linkHere(digest: Digest, nowMs: number): number {
    const until = nowMs + HERE_LINK_LIVES_MS;
    this.#here = { digest, until };
    return until;
  }

  /** Until when an invitation stands; null: none does. */
  invitedUntil(nowMs: number): number | null {
    return this.#standing(nowMs)?.until ?? null;
  }

  withdraw(): void {
    this.#invitation = null;
  }

  /**
   * Judges one try and uses up what it hit.
   *
   * @param secret digest of what was sent, as a link's token
   * @param code digest of the code that it would be
   */
  try(secret: Digest, code: Digest, from: { way: Way; address: string }, nowMs: number): TryVerdict {
    if (this.#isShutOut(from.address)) return 'locked';
    const here = this.#here !== null && nowMs <= this.#here.until && from.way === 'loopback' ? this.#here : null;
    const invitation = this.#standing(nowMs);
    if (here === null && invitation === null) return 'wrong';
    const hits = {
      here: here !== null && isSame(here.digest, secret),
      token: invitation !== null && isSame(invitation.token, secret),
      code: invitation !== null && isSame(invitation.code, code),
    };
    if (hits.here) {
      this.#here = null;
      return 'here';
    }
    if (hits.token || hits.code) {
      this.#invitation = null;
      return 'phone';
    }
    this.#failures.push({ address: from.address, at: nowMs });
    if (invitation !== null && ++invitation.wrong >= TRIES_AT_ONE) this.#invitation = null;
    return 'wrong';
  }

  /** The owner acted: wrong tries are forgotten. */
  forgive(): void {
    this.#failures = [];
  }

  /** Those who wait for the owner's word, oldest first. */
  waiting(nowMs: number): readonly Waiting[] {
    return this.#alive(nowMs).filter(({ decided }) => decided === null);
  }

  wait(asker: Omit<Waiting, 'decided'>, nowMs: number): void {
    this.#waiting = [...this.#alive(nowMs), { ...asker, decided: null }].slice(-WAITING_AT_ONCE);
  }

  /** The owner's word; false where nobody of that id waits any more. */
  decide(id: string, scope: Scope | null, nowMs: number): boolean {
    const asker = this.waiting(nowMs).find(one => one.id === id);
    if (asker === undefined) return false;
    this.#waiting = this.#waiting.map(one => (one.id === id ? { ...one, decided: { scope } } : one));
    return true;
  }

  /** How an asking stands; one that was decided is told once. */
  askAgain(digest: Digest, nowMs: number): Waiting | null {
    let asker: Waiting | null = null;
    for (const one of this.#alive(nowMs)) if (isSame(one.digest, digest)) asker = one;
    if (asker !== null && asker.decided !== null) this.#waiting = this.#waiting.filter(one => one !== asker);
    return asker;
  }

  #standing(nowMs: number): Invitation | null {
    if (this.#invitation !== null && nowMs > this.#invitation.until) this.#invitation = null;
    return this.#invitation;
  }

  #alive(nowMs: number): Waiting[] {
    this.#waiting = this.#waiting.filter(({ askedAt }) => nowMs - askedAt <= WAITING_LIVES_MS);
    return this.#waiting;
  }

  #isShutOut(address: string): boolean {
    if (this.isLocked()) return true;
    const times = this.#failures.filter(failure => failure.address === address).map(({ at }) => at);
    // Whichever hour it was: it stays shut out until the owner acts.
    return times.some((at, i) => (times[i + FAILURES_AN_ADDRESS - 1] ?? Number.POSITIVE_INFINITY) - at <= HOUR_MS);
  }
}
