/**
 * Keeps a link's promise whatever its library does: `closed` exactly once, nothing after it, and nothing at all once
 * the agent itself closed the link.
 */
import { type LinkEvents, type LinkFailure, printable } from '#kit';

export interface GuardedEvents extends LinkEvents {
  /** Nothing is told from now on. */
  mute(): void;
  readonly over: boolean;
}

export function guard(events: LinkEvents): GuardedEvents {
  let over = false;
  return {
    get over() {
      return over;
    },
    mute() {
      over = true;
    },
    opened() {
      if (!over) events.opened();
    },
    bytes(chunk, from) {
      if (!over) events.bytes(chunk, from);
    },
    closed(failure, detail) {
      if (over) return;
      over = true;
      events.closed(failure, printable(detail));
    },
  };
}

/** The failure a system error code stands for, where it is one of the usual ones. */
export function failureOfCode(code: unknown): LinkFailure {
  switch (code) {
    case 'ENOENT':
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
    case 'EHOSTUNREACH':
    case 'ENETUNREACH':
    case 'ENODEV':
    case 'ENXIO':
      return 'notFound';
    case 'EACCES':
    case 'EPERM':
      return 'permission';
    case 'EBUSY':
      return 'inUse';
    case 'ECONNREFUSED':
      return 'refused';
    case 'ETIMEDOUT':
      return 'timeout';
    case 'ECONNRESET':
    case 'EPIPE':
      return 'ended';
    default:
      return 'failed';
  }
}
