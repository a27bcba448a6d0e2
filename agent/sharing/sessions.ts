/**
 * Who may come in, and how far. Pure: instants (epoch ms) are arguments. A session that nobody used for 90 days is
 * over. Over a network without encryption the word to change things is good for 24 hours after it was given; the
 * session goes on looking. What was made on this computer for this computer is worth nothing over a network.
 */
import type { Scope } from '#messages';
import { type Digest, findSame } from './secrets.ts';

const DAY_MS = 86_400_000;
/** Without use. */
export const SESSION_LIVES_MS = 90 * DAY_MS;
/** From the moment it was given, over a network without encryption. */
export const CHANGE_LIVES_MS = DAY_MS;

/** How a request came: from this computer, or over a network. */
export type Way = 'loopback' | 'network';

export interface Session {
  readonly id: string;
  readonly kind: 'browser' | 'script';
  readonly name: string;
  readonly scope: Scope;
  /** For this computer alone. */
  readonly here: boolean;
  readonly digest: Digest;
  readonly madeAt: number;
  readonly lastSeenAt: number;
  readonly lastAddress: string;
}

export const isOver = (session: Session, nowMs: number): boolean => nowMs - session.lastSeenAt > SESSION_LIVES_MS;

/** What a session may now by this way; null: nothing at all. */
export function scopeNow(session: Session, way: Way, nowMs: number): Scope | null {
  if (isOver(session, nowMs) || (session.here && way === 'network')) return null;
  const changeUntil = changeUntilOf(session);
  return way === 'network' && changeUntil !== null && nowMs > changeUntil ? 'view' : session.scope;
}

/** Until when it may change things over a network; null where it may not anyway. */
export const changeUntilOf = ({ scope, here, madeAt }: Session): number | null =>
  scope === 'change' && !here ? madeAt + CHANGE_LIVES_MS : null;

export const sessionOf = (sessions: readonly Session[], digest: Digest): Session | null =>
  findSame(sessions, digest, s => s.digest);

/** Without those that are over. */
export const stillOpen = (sessions: readonly Session[], nowMs: number): Session[] =>
  sessions.filter(session => !isOver(session, nowMs));
