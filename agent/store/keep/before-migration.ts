/**
 * A proven snapshot before the schema changes, kept in the data folder as `before-N.db` with its manifest: N is the
 * schema that came after it. The two newest stay.
 */
import { readdirSync } from 'node:fs';
import { join } from 'node:path';
import type { Connection } from '../kept.ts';
import { makeSnapshot, removeSnapshot } from './snapshot.ts';

const KEPT = 2;
const NAME = /^before-(\d+)\.db$/;

/** Throws what a snapshot throws, such as DISK_FULL: then nothing may be changed. */
export function keepBefore(db: Connection, dir: string, newest: number, made: { atMs: number; program: string }): void {
  const file = join(dir, `before-${newest}.db`);
  // One left by an attempt that did not come through tells of an older moment.
  removeSnapshot(file);
  makeSnapshot(db, file, made);
  const versions = readdirSync(dir).flatMap(name => Number(NAME.exec(name)?.[1] ?? []));
  versions.sort((a, b) => b - a);
  for (const old of versions.slice(KEPT)) removeSnapshot(join(dir, `before-${old}.db`));
}
