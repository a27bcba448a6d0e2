/** A record as an earlier schema left it, with a fact and what was learned. */
import { mkdirSync } from 'node:fs';
import { join } from 'node:path';
import { connectWriter } from '../../agent/store/connection.ts';
import { MIGRATIONS } from '../../agent/store/migrations/index.ts';
import { freshFolder, START_AT } from './record.ts';

/** @param version schema it is left at: 2 or later */
export function folderForRecord(version: number): string {
  const dir = freshFolder();
  mkdirSync(dir, { mode: 0o700 });
  const db = connectWriter(join(dir, 'record.db'), MIGRATIONS.slice(0, version));
  db.exec(`INSERT INTO layout (id, text) VALUES (1, '[]');
    INSERT INTO station (id, name, layout) VALUES (1, 'shed', 1);
    INSERT INTO fact (station, key, validFromMs, valueJson) VALUES (1, 'reserveFloorPct', ${START_AT}, '15');
    INSERT INTO learned (station, valueJson) VALUES (1, '{"a":1}');`);
  db.close();
  return dir;
}
