/**
 * From an error to what the client is told. A WattkeepError is written for its reader and travels as it is; anything
 * else is ours: the client gets a short id, the log gets the detail under the same id.
 */
import { type ErrorCode, WattkeepError } from '#kit';
import type { ErrorAnswer } from '#messages';
import type { Way } from './deps.ts';

const STATUS: Partial<Record<ErrorCode, number>> = {
  USAGE: 400,
  REQUEST_INVALID: 400,
  SETTINGS_SYNTAX: 400,
  SETTINGS_UNKNOWN_KEY: 400,
  SETTINGS_VALUE: 400,
  ADAPTER_UNKNOWN: 400,
  IMPORT_HEADER: 400,
  IMPORT_ROW: 400,
  REQUEST_REFUSED: 403,
  SESSION_NEEDED: 401,
  SCOPE_NEEDED: 403,
  PAIRING_REFUSED: 403,
  PAIRING_LOCKED: 429,
  NETWORK_MISSING: 409,
  PORT_BUSY: 409,
  STATION_UNKNOWN: 404,
  SETTINGS_CHANGED: 412,
  DATA_BUSY: 503,
  READING_BUSY: 503,
  READING_ENDED: 503,
  DISK_FULL: 507,
  DISK_READ_ONLY: 507,
};

/** HTTP status of a code; 500 where nothing better is known. */
export const statusOf = (code: ErrorCode): number => STATUS[code] ?? 500;

/** A failure with a status of its own, where the code alone does not say enough. */
export class RequestFailure extends WattkeepError {
  readonly status: number;
  /** Where in the body. */
  readonly path: string | undefined;

  constructor(status: number, message: string, fix: string, path?: string) {
    super('REQUEST_INVALID', message, fix);
    this.status = status;
    this.path = path;
  }
}

/** The path exists with other methods. */
export class MethodFailure extends RequestFailure {
  readonly allow: string;

  constructor(allow: readonly string[]) {
    super(405, 'This path does not take that method.', `Use ${allow.join(' or ')}.`);
    this.allow = allow.join(', ');
  }
}

/** Nobody without a session may; tells no more than how to get one. */
export class SessionFailure extends WattkeepError {
  /** @param changes it asked for a change, not to read */
  constructor(way: Way, changes: boolean) {
    if (way === 'network') super('SESSION_NEEDED', 'This needs a session.', 'Pair this browser at /pair.');
    else
      super(
        'SESSION_NEEDED',
        `${changes ? 'Nothing was changed: this' : 'This'} browser may only look so far.`,
        'Open once, in this browser, the link that wattkeep printed below its address when it started, then try again; “wattkeep pair --here” prints a new one.',
      );
  }
}

/** The session may do less than this. */
export class ScopeFailure extends WattkeepError {
  constructor(way: Way, changes: boolean) {
    super(
      'SCOPE_NEEDED',
      changes ? 'Nothing was changed: this browser may not do that.' : 'This browser may not see that.',
      way === 'network'
        ? 'Do it on wattkeep’s own computer, or pair this browser anew and let it change things.'
        : '“wattkeep pair --here” prints a link that lets it.',
    );
  }
}

/** Only the agent's own machine decides that. */
export class HereFailure extends WattkeepError {
  constructor() {
    super(
      'SCOPE_NEEDED',
      'That is decided on wattkeep’s own computer.',
      'Open its page there, or use its command line.',
    );
  }
}

export interface Failure {
  readonly status: number;
  readonly answer: ErrorAnswer;
  /** What the log is told; null for what the client alone has to mend. */
  readonly detail: Readonly<Record<string, unknown>> | null;
}

/** @param newId called only for errors that must not be shown */
export function describeFailure(error: unknown, newId: () => string): Failure {
  if (error instanceof WattkeepError) {
    const { code, message, fix } = error;
    const status = error instanceof RequestFailure ? error.status : statusOf(code);
    const path = error instanceof RequestFailure ? error.path : undefined;
    const answer = { error: { code, message, fix, ...(path === undefined ? {} : { path }) } };
    return { status, answer, detail: status >= 500 ? { code, message, cause: describeCause(error.cause) } : null };
  }
  const id = newId();
  return {
    status: 500,
    answer: {
      error: { code: 'INTERNAL', message: `Something failed in the agent (${id}).`, fix: `Look for ${id} in the log.` },
    },
    detail: { id, error: describeCause(error) },
  };
}

function describeCause(cause: unknown): string {
  return cause instanceof Error ? (cause.stack ?? cause.message) : String(cause ?? 'none');
}
