/**
 * Who asks, and whether that is enough. A browser sends its session in a cookie, a script in Authorization. From this
 * machine reading needs neither; every change does, and so does everything that comes over a network.
 */
import type { IncomingMessage } from 'node:http';
import { reaches, type Scope } from '#messages';
import type { AllowedNames } from './access.ts';
import type { SessionBook, Way } from './deps.ts';

/** One way in: a listening address, with the names it may be asked for. */
export interface Entrance {
  readonly way: Way;
  /** Known only once the port is bound. */
  names(): AllowedNames;
}

export interface Caller {
  readonly way: Way;
  /** Without IPv4 written as IPv6. */
  readonly address: string;
  /** `http://…`, as it was asked for. */
  readonly origin: string;
  /** Null: none was sent, or none that stands. */
  readonly session: { readonly id: string; readonly name: string } | null;
  /** Null: nothing. */
  readonly scope: Scope | null;
}

const BEARER = /^Bearer ([A-Za-z0-9_-]{20,100})$/;

/** Whether a script's token is sent and no cookie: then there may be no Origin either. */
export const isBearerOnly = ({ headers }: IncomingMessage): boolean =>
  headers.cookie === undefined && headers.authorization !== undefined;

export function callerOf(request: IncomingMessage, entrance: Entrance, book: SessionBook): Caller {
  const { way } = entrance;
  const address = (request.socket.remoteAddress ?? '').replace(/^::ffff:/, '');
  const origin = `http://${request.headers.host ?? ''}`;
  const { authorization, cookie } = request.headers;
  const nobody: Caller = { way, address, origin, session: null, scope: way === 'loopback' ? 'view' : null };
  const secret =
    authorization === undefined ? cookieIn(cookie ?? '', book.cookieName) : (BEARER.exec(authorization)?.[1] ?? '');
  if (secret === null) return nobody;
  const found = book.find(secret, { way, address });
  // A browser keeps a cookie that no longer stands; a script's token that does not is a mistake to be told.
  if (found === null) return authorization === undefined ? nobody : { ...nobody, scope: null };
  return { ...nobody, session: { id: found.id, name: found.name }, scope: found.scope };
}

function cookieIn(header: string, name: string): string | null {
  for (const pair of header.split(';')) {
    const at = pair.indexOf('=');
    if (at > 0 && pair.slice(0, at).trim() === name) return pair.slice(at + 1).trim();
  }
  return null;
}

/** Null where it is enough; else what is lacking. */
export function lackOf(caller: Caller, needs: Scope): 'session' | 'scope' | null {
  if (caller.scope !== null && reaches(caller.scope, needs)) return null;
  return caller.session === null ? 'session' : 'scope';
}
