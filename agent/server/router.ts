/**
 * The table of what can be asked, one entry a route: the dispatcher and the OpenAPI description read the same one.
 * A path has at most one variable part, the id of a station or a trial, and that is matched as it is: nothing is decoded.
 */
import type { GenericSchema } from 'valibot';
import type { Scope } from '#messages';
import type { Caller } from './gate.ts';

export interface RouteRequest {
  /** The station, or the trial, named in the path; '' where the path names none. */
  readonly station: string;
  readonly query: URLSearchParams;
  /** Already checked against the route's schema. */
  readonly body: unknown;
  /** Revision from If-Match, without quotes. */
  readonly ifMatch: string | undefined;
  readonly caller: Caller;
}

export interface RouteAnswer {
  /** 200 where left out. */
  readonly status?: number;
  readonly type: string;
  /** Pieces, where it may be long: given up where the client goes away. */
  readonly body: string | AsyncIterator<Uint8Array>;
  readonly headers?: Readonly<Record<string, string>>;
}

export interface Route {
  readonly method: 'GET' | 'POST' | 'PUT' | 'DELETE';
  /** `{station}`, `{trial}` stand for an id. */
  readonly path: string;
  readonly summary: string;
  /** What a session must be allowed; where left out, `view` to read and `change` for all else. */
  readonly needs?: Scope;
  /** Answered from this machine alone, whatever a session may. */
  readonly hereOnly?: boolean;
  /** Answered to everyone, without a session. */
  readonly open?: boolean;
  /** Parameters of the query string, with what they mean. */
  readonly query: Readonly<Record<string, string>>;
  readonly takes: GenericSchema | null;
  /** Schema of the JSON it answers, or the media type of anything else. */
  readonly gives: GenericSchema | string;
  answer(request: RouteRequest): RouteAnswer | Promise<RouteAnswer>;
}

export const neededFor = ({ method, needs }: Pick<Route, 'method' | 'needs'>): Scope =>
  needs ?? (method === 'GET' ? 'view' : 'change');

export const JSON_TYPE = 'application/json; charset=utf-8';

export const json = (
  value: unknown,
  headers?: Readonly<Record<string, string>>,
): RouteAnswer & { readonly body: string } => ({
  type: JSON_TYPE,
  body: JSON.stringify(value),
  ...(headers === undefined ? {} : { headers }),
});

export type Match =
  | { readonly route: Route; readonly station: string }
  /** The path exists with other methods. */
  | { readonly route: null; readonly allow: readonly string[] };

const NAMED = /\{(?:station|trial)\}/;
const ID = /^[a-z0-9][a-z0-9-]{0,39}$/;

/** The route of a method and path; null where nothing has that path. */
export function matchRoute(routes: readonly Route[], method: string, path: string): Match | null {
  const asked = method === 'HEAD' ? 'GET' : method;
  const allow: string[] = [];
  for (const route of routes) {
    const station = matchPath(route.path, path);
    if (station === null) continue;
    if (route.method === asked) return { route, station };
    allow.push(...(route.method === 'GET' ? ['GET', 'HEAD'] : [route.method]));
  }
  return allow.length === 0 ? null : { route: null, allow };
}

/** The station's id in a path of this pattern, '' where the pattern has none, null where it does not match. */
function matchPath(pattern: string, path: string): string | null {
  const named = NAMED.exec(pattern);
  if (named === null) return pattern === path ? '' : null;
  const at = named.index;
  const tail = pattern.slice(at + named[0].length);
  if (!path.startsWith(pattern.slice(0, at)) || !path.endsWith(tail)) return null;
  const id = path.slice(at, path.length - tail.length);
  return ID.test(id) ? id : null;
}
