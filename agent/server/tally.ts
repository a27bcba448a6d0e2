/** Counts what was refused, by a closed list of kinds, since the start: shown on the health page. */
import type { RefusalCause } from './access.ts';

export type Refusal =
  | RefusalCause
  | 'session' // needed and not there
  | 'scope' // a session that may not do that
  | 'request' // malformed, too slow or over a ceiling before it could be read
  | 'body' // too large, not JSON or not of the schema
  | 'connections' // over the ceiling of TCP connections
  | 'clients' // over the ceiling of live clients
  | 'message' // a live client sent something that is not a message
  | 'rate' // a live client sent too much
  | 'silent' // a live client did not answer pings
  | 'slow'; // a live client did not take what was sent

export class RefusalTally {
  readonly #counts = new Map<Refusal, number>();

  add(kind: Refusal): void {
    this.#counts.set(kind, (this.#counts.get(kind) ?? 0) + 1);
  }

  counts(): Record<string, number> {
    return Object.fromEntries(this.#counts);
  }
}
