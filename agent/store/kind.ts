/** Simulated and real never mix: a record says from its first minute which it is, and is refused as the other. */
import { WattkeepError } from '#kit';
import type { Connection } from './connection.ts';

/** Writes the kind into a new record; throws USAGE where an old one is of the other kind. */
export function markKind(db: Connection, dir: string, demo: boolean, mayWrite: boolean): void {
  const wanted = demo ? 'demo' : 'real';
  const kind = db.prepare<[], string>("SELECT value FROM meta WHERE key = 'kind'").pluck().get();
  if (kind === wanted) return;
  if (kind === undefined) {
    if (mayWrite) db.prepare("INSERT INTO meta (key, value) VALUES ('kind', ?)").run(wanted);
    return;
  }
  throw new WattkeepError(
    'USAGE',
    `${dir} holds a ${kind === 'demo' ? 'simulated' : 'real'} record, and a ${demo ? 'simulated' : 'real'} one was asked for`,
    'Name another folder with --data.',
  );
}
