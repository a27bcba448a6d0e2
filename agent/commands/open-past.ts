/** The record a verb looks into: the owner's own where there is one, else the demo's. Opened for reading only. */
import { homedir } from 'node:os';
import { join } from 'node:path';
import { WattkeepError } from '#kit';
import { defaultPaths } from '../settings/index.ts';
import { hasRecord } from '../store/folder.ts';
import { type OpenedRecord, openRecord } from '../store/open.ts';
import { clock } from './surroundings.ts';

export interface Past {
  record: OpenedRecord;
  demo: boolean;
}

/** @param data the option --data, undefined where not given */
export const dataDirOf = (data: string | undefined): string =>
  data ?? (process.env.WATTKEEP_DATA || defaultPaths(process.platform, process.env, homedir()).dataDir);

/** @throws WattkeepError USAGE where the folder holds no record */
export function openPast(data: string | undefined): Past {
  const dir = dataDirOf(data);
  const demo = !hasRecord(join(dir, 'record'));
  const record = openRecord(join(dir, demo ? 'demo' : 'record'), {
    nowMs: clock.nowMs,
    commitIntervalMs: 0,
    readOnly: true,
    demo,
  });
  return { record, demo };
}

/** The station asked for, or the only one. */
export function stationOf(record: OpenedRecord, asked: string | undefined): string {
  const stations = record.stations();
  if (asked !== undefined && stations.includes(asked)) return asked;
  if (asked === undefined && stations.length === 1) return stations[0]!;
  const known = stations.length === 0 ? 'The record is empty.' : `On record: ${stations.join(', ')}.`;
  throw new WattkeepError(
    'STATION_UNKNOWN',
    asked === undefined ? 'Name the station.' : `There is no station "${asked}" on record.`,
    `${known} Use --station ID.`,
  );
}
