/** What the server asks of the reading desk, put to the record that is open now. */
import { statSync } from 'node:fs';
import { join } from 'node:path';
import { civilDate, shiftDate } from '#energy/civil-day';
import { firstPeriod, type Period, periodOf } from '#energy/ledger/periods';
import type { ReadingDoor } from '../../../server/deps.ts';
import { clock, timers } from '../../surroundings.ts';
import { type Holding, recordDir } from '../holding.ts';
import type { ReadingDesk } from './desk.ts';
import { keptFiles } from './kept-files.ts';
import { createKeptLedger, type DaysAsked, type KeptLedger } from './kept-ledger.ts';
import type { Asked } from './order.ts';

type Held = Pick<Holding, 'demo' | 'record' | 'watch'>;

interface DoorParts {
  desk: ReadingDesk;
  holding: Held;
  dataDir: string;
  version: string;
}

const asking = ({ desk, holding, dataDir }: DoorParts, asked: Asked, ahead = false) => {
  const { demo } = holding;
  return desk.ask({ dir: recordDir(dataDir, demo), demo, nowMs: clock.nowMs(), asked }, ahead);
};

/** The Ledger as it opens, station by station, then all that each has. */
function firstAsked({ watch }: Held): DaysAsked[] {
  const nowMs = clock.nowMs();
  const stations = watch.stations().map(({ id, zone }) => ({ station: id, zone, today: civilDate(nowMs, zone) }));
  const over = ({ station, zone, today }: (typeof stations)[number], { from }: Period): DaysAsked => ({
    station,
    zone,
    from,
    to: shiftDate(today, -1),
  });
  return [
    ...stations.map(one => over(one, firstPeriod(one.today, null))),
    ...stations.map(one => over(one, periodOf('all', one.today))),
  ];
}

/** @param entry the built read-child.js: another one may work days out otherwise */
export function openKeptLedger(parts: DoorParts, entry: string): KeptLedger {
  const { holding, dataDir, version } = parts;
  const dir = () => join(recordDir(dataDir, holding.demo), 'ledger');
  const built = statSync(entry, { throwIfNoEntry: false })?.mtimeMs ?? 0;
  return createKeptLedger({
    record: () => holding.record,
    dir,
    files: () => keptFiles(dir()),
    ask: (asked, ahead) => asking(parts, { what: 'ledger', ...asked }, ahead),
    firsts: () => firstAsked(holding),
    program: [version, built, process.versions.v8, process.versions.tz].join(' '),
    nowMs: clock.nowMs,
    timers,
  });
}

export function readingDoor(parts: DoorParts, kept: KeptLedger): ReadingDoor {
  const ask = (asked: Asked) => asking(parts, asked);
  const { version } = parts;
  return {
    series: request => ask({ what: 'series', request }),
    ledger: (station, zone, from, to) => kept.ledger({ station, zone, from, to }),
    daysCsv: (station, zone, from, to) => ask({ what: 'daysCsv', station, zone, from, to }),
    recordingSize: (station, fromMs, toMs, zone) => ask({ what: 'recordingSize', station, fromMs, toMs, zone }),
    recording: (station, format, fromMs, toMs, zone) =>
      ask({ what: 'recording', format, station, fromMs, toMs, zone, version }),
    dateOf: civilDate,
  };
}
