/** What a trial is begun with: the station as it is told now, and its earlier trials. */
import { civilDate } from '#energy/civil-day';
import { WattkeepError } from '#kit';
import type { RecordQueries } from '#messages';
import type { Beginning } from '../../trials/changes.ts';
import { knownStation, type TrialsKnown } from './known.ts';

/** @throws WattkeepError STATION_UNKNOWN */
export function beginning(
  record: Pick<RecordQueries, 'trial' | 'trials'>,
  known: TrialsKnown,
  station: string,
  nowMs: number,
): Beginning {
  const of = knownStation(known, station);
  if (of === undefined)
    throw new WattkeepError('STATION_UNKNOWN', `There is no station "${station}".`, 'Look up its id in Setup.');
  const earlier = record.trials(station);
  return {
    basis: { ...of, earlier },
    nowMs,
    date: civilDate(nowMs, of.zone),
    simulated: known.simulated,
    version: known.version,
    isTaken: id => record.trial(id) !== null,
    sources: known.stations.map(({ settings }) => settings.id),
  };
}
