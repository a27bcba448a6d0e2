/** What the server asks of the reading desk, put to the record that is open now. */
import type { ReadingDoor } from '../../../server/deps.ts';
import { clock } from '../../surroundings.ts';
import { type Holding, recordDir } from '../holding.ts';
import type { ReadingDesk } from './desk.ts';
import type { Asked } from './order.ts';

export function readingDoor(
  desk: ReadingDesk,
  holding: Pick<Holding, 'demo'>,
  { dataDir, version }: { dataDir: string; version: string },
): ReadingDoor {
  const ask = (asked: Asked) => {
    const { demo } = holding;
    return desk.ask({ dir: recordDir(dataDir, demo), demo, nowMs: clock.nowMs(), asked });
  };
  return {
    series: request => ask({ what: 'series', request }),
    ledger: (station, zone, from, to) => ask({ what: 'ledger', station, zone, from, to }),
    daysCsv: (station, zone, from, to) => ask({ what: 'daysCsv', station, zone, from, to }),
    recording: (station, format, fromMs, toMs, zone) =>
      ask({ what: 'recording', format, station, fromMs, toMs, zone, version }),
  };
}
