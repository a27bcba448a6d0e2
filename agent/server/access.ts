/**
 * Who may ask, decided from the request's first lines alone and before any routing.
 *
 * A page of a foreign site can send requests to 127.0.0.1, and a foreign name can be pointed at it (DNS rebinding).
 * The first shows only in Origin, the second only in Host, so both are compared with an exact list: scheme, name and
 * port; each way in has its own. A change also needs a JSON content type and a header that no plain form or image can
 * send: a foreign page would need a preflight, which is never granted. Who asks, and what their session may, is gate.ts.
 */

/** Header that every change carries, with the value 1. */
export const CHANGE_HEADER = 'x-wattkeep';

export interface AllowedNames {
  /** Values of Host that are ours, lower case: `127.0.0.1:7420`. */
  readonly hosts: ReadonlySet<string>;
  /** Values of Origin that are ours: `http://127.0.0.1:7420`. */
  readonly origins: ReadonlySet<string>;
}

/** What is looked at: as sent, nothing decoded. */
export interface Asked {
  readonly method: string;
  /** Request target; must begin with a slash. */
  readonly target: string;
  /** Every Host header, in order. */
  readonly hosts: readonly string[];
  readonly origin: string | undefined;
  readonly contentType: string | undefined;
  readonly changeHeader: string | undefined;
  /** Sec-Fetch-Site, where a browser sends it: an extra, since it does not over plain HTTP to another machine. */
  readonly fetchSite: string | undefined;
  /** The request wants to become a WebSocket. */
  readonly upgrade: boolean;
  /** A script's own token is sent, and nothing that a browser would have added by itself. */
  readonly bearerOnly: boolean;
}

export type RefusalCause = 'target' | 'host' | 'method' | 'origin' | 'changeHeader' | 'contentType';
export type Verdict =
  | { readonly allowed: true }
  | { readonly allowed: false; readonly status: number; readonly cause: RefusalCause };

const LOOPBACK_NAMES = ['127.0.0.1', '[::1]', 'localhost'];
const READS = new Set(['GET', 'HEAD']);
const CHANGES = new Set(['POST', 'PUT', 'DELETE']);
const DEFAULT_HTTP_PORT = 80;

/**
 * The names under which this server may be asked for from this machine.
 *
 * @param host the configured listening host
 * @param port the port really bound
 */
export const allowedNames = (host: string, port: number): AllowedNames =>
  namesAt([...LOOPBACK_NAMES, urlHost(host)], port);

/** Those of a list of names and addresses, at one port. */
export function namesAt(names: readonly string[], port: number): AllowedNames {
  const hosts = new Set<string>();
  for (const name of new Set(names.map(urlHost))) {
    hosts.add(`${name}:${port}`);
    // Browsers leave the scheme's own port out of Host and Origin.
    if (port === DEFAULT_HTTP_PORT) hosts.add(name);
  }
  return { hosts, origins: new Set([...hosts].map(name => `http://${name}`)) };
}

/** The host as it stands in a URL: lower case, an IPv6 address in brackets. */
export function urlHost(host: string): string {
  const lower = host.toLowerCase();
  return lower.includes(':') && !lower.startsWith('[') ? `[${lower}]` : lower;
}

/** True where only this machine can connect. */
export const isLoopbackHost = (host: string): boolean =>
  /^(localhost|127(\.\d{1,3}){3}|::1|\[::1\])$/.test(host.toLowerCase());

const refuse = (status: number, cause: RefusalCause): Verdict => ({ allowed: false, status, cause });

/** The verdict on one request. Order: target, host, method, origin, then what only changes need. */
export function checkAccess(asked: Asked, names: AllowedNames): Verdict {
  if (!asked.target.startsWith('/')) return refuse(400, 'target');
  const [host] = asked.hosts;
  if (asked.hosts.length !== 1 || host === undefined || !names.hosts.has(host.toLowerCase()))
    return refuse(421, 'host');
  const isRead = READS.has(asked.method);
  const isChange = CHANGES.has(asked.method);
  if (!isRead && !isChange) return refuse(405, 'method');
  // Origin is compared as sent: browsers write it in lower case, so anything else is not a browser's.
  const needsOrigin = (isChange || asked.upgrade) && !asked.bearerOnly;
  if (asked.origin === undefined ? needsOrigin : !names.origins.has(asked.origin)) return refuse(403, 'origin');
  if (isChange) {
    if (asked.changeHeader !== '1') return refuse(403, 'changeHeader');
    if (!isJson(asked.contentType)) return refuse(415, 'contentType');
  } else if (isForeignRead(asked)) return refuse(403, 'origin');
  return { allowed: true };
}

function isForeignRead({ target, fetchSite }: Asked): boolean {
  return target.startsWith('/api/') && (fetchSite === 'cross-site' || fetchSite === 'same-site');
}

function isJson(contentType: string | undefined): boolean {
  return contentType?.split(';', 1)[0]?.trim().toLowerCase() === 'application/json';
}
