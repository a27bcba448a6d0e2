/** Seals the hours that are still open, within the caller's transaction: what comes later begins a block of its own. */
import type { Connection } from './kept.ts';
import { openSealer, prepareSeal } from './seal.ts';
import { openShelf } from './shelf.ts';
import { openTail } from './tail.ts';

/** Prepares the statements once; the answer closes the hours of one station by its name, or of all. */
export function prepareCloseHours(db: Connection): (station?: string) => void {
  const shelf = openShelf(db);
  const sealing = prepareSeal(db, shelf);
  const tail = openTail(db, shelf);
  const stations = db.prepare<[], { id: number; name: string; layout: number }>('SELECT id, name, layout FROM station');
  return station => {
    for (const { id, name, layout } of stations.all()) {
      if (station !== undefined && station !== name) continue;
      const open = tail.take(id, name);
      if (open.length === 0) continue;
      const sealer = openSealer(sealing, shelf, id, { layout: shelf.byId(layout), id: layout });
      sealer.seal(open);
      sealer.finish();
    }
  };
}
