/** Trials as they are kept. A record of an older schema that is only read has none. */
import type { KeptTrial, RecordQueries } from '#messages';
import type { Connection } from '../connection.ts';

const SINCE_SCHEMA = 10;

export function prepareTrials(db: Connection): Pick<RecordQueries, 'trials' | 'trial' | 'liveTrials'> {
  if (Number(db.pragma('user_version', { simple: true })) < SINCE_SCHEMA)
    return { trials: () => [], trial: () => null, liveTrials: () => [] };
  const columns = `SELECT station.name AS station, trial AS id, kind, startedAt, endedAt, optionsJson, askedJson,
    conditionsJson, stepsJson, typedJson, simulated, version, judgementJson, judgedBy, removedAt
    FROM trial JOIN station ON station.id = trial.station`;
  const all = db.prepare<[string], KeptTrial>(`${columns} WHERE station.name = ? ORDER BY startedAt, trial`);
  const one = db.prepare<[string], KeptTrial>(`${columns} WHERE trial = ?`);
  const live = db.prepare<[], KeptTrial>(
    `${columns} WHERE judgementJson IS NULL AND removedAt IS NULL ORDER BY startedAt, trial`,
  );
  return {
    trials: station => all.all(station),
    trial: id => one.get(id) ?? null,
    liveTrials: () => live.all(),
  };
}
