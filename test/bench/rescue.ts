/**
 * A damaged record of ten stations over a year: how long until what can be read of it lies in a fresh one, in which the
 * agent goes on. Beside SQLite copying the whole file, row by row, as VACUUM does.
 */
import { cpSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import Database from 'better-sqlite3';
import { rescueRecord } from '../../agent/store/keep/rescue.ts';
import { destroy, pagesIn } from '../support/damage.ts';
import { atMost, type Bench } from './figure.ts';
import { recordLoadedYear } from './loaded-year.ts';
import { median, takeTurns } from './samples.ts';

const ROUNDS = 3;
const TEN = Array.from({ length: 10 }, (_, i) => `shed-${i}`);
const ALLOWED_MS = 10_000;

export const rescue: Bench = {
  name: 'rescue',
  title: 'Rescue: a page destroyed in a year of ten stations → a fresh record',
  async run(say) {
    const dir = mkdtempSync(join(tmpdir(), 'wattkeep-rescue-'));
    const [whole, damaged, copy] = [join(dir, 'whole'), join(dir, 'damaged'), join(dir, 'copy.db')];
    try {
      say('making a year of ten stations');
      recordLoadedYear(whole, TEN, Date.now() - 60_000);
      const taken = await takeTurns(ROUNDS, {
        rescued: async () => {
          rmSync(damaged, { recursive: true, force: true });
          cpSync(whole, damaged, { recursive: true });
          destroy(damaged, [Math.floor(pagesIn(damaged) / 2)]);
          return timed(() => void rescueRecord(damaged, TEN, Date.now()));
        },
        copied: async () => {
          rmSync(copy, { force: true });
          const db = new Database(join(whole, 'record.db'), { readonly: true });
          const tookMs = timed(() => void db.exec(`VACUUM INTO '${copy}'`));
          db.close();
          return tookMs;
        },
      });
      return [
        {
          name: 'damaged record → fresh record',
          unit: 'ms',
          value: median(taken.rescued),
          floor: median(taken.copied),
          floorIs: 'VACUUM INTO of the whole file',
          goal: atMost(ALLOWED_MS),
          samples: `${ROUNDS} rescues`,
        },
      ];
    } finally {
      rmSync(dir, { recursive: true, force: true });
    }
  },
};

function timed(act: () => void): number {
  const beganMs = performance.now();
  act();
  return performance.now() - beganMs;
}
