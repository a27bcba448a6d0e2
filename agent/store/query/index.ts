/** Every question of the record over one connection. */
import type { RecordQueries } from '#messages';
import type { Connection } from '../connection.ts';
import { openShelf } from '../shelf.ts';
import { prepareCountedQueries } from './counted.ts';
import { prepareEvidence } from './evidence.ts';
import { prepareInstants } from './instants.ts';
import { type LedgerQueries, prepareLedgerQueries } from './ledger.ts';
import { prepareLimits } from './limits.ts';
import { prepareMarks } from './marks.ts';
import { prepareMeans } from './means.ts';
import { prepareNotes } from './notes.ts';
import { prepareOnlyMinutes } from './only-minutes.ts';
import { type PastMark, preparePastMark } from './past.ts';
import { prepareReadings } from './readings.ts';
import { prepareRowCount } from './row-count.ts';
import { prepareGather, prepareSeries } from './series.ts';
import { prepareTold } from './told.ts';
import { prepareTrials } from './trials.ts';

export type Queries = Omit<RecordQueries, 'savedState'> &
  Pick<LedgerQueries, 'lastAt' | 'holds'> & {
    instants: ReturnType<typeof prepareInstants>;
    told: ReturnType<typeof prepareTold>;
    rowCount: ReturnType<typeof prepareRowCount>;
    pastMark: PastMark;
  };

export function prepareQueries(db: Connection): Queries {
  const shelf = openShelf(db);
  const onlyMinutes = prepareOnlyMinutes(db, shelf);
  const gather = prepareGather(db, shelf);
  const { readings, latest } = prepareReadings(db, shelf, onlyMinutes);
  return {
    ...prepareLedgerQueries(db),
    ...prepareMarks(db),
    ...prepareCountedQueries(db),
    ...prepareNotes(db),
    ...prepareEvidence(db),
    ...prepareTrials(db),
    readings,
    latest,
    series: prepareSeries(db, gather, onlyMinutes),
    means: prepareMeans(gather),
    limits: prepareLimits(db, shelf),
    instants: prepareInstants(db, shelf, onlyMinutes),
    told: prepareTold(db, shelf, onlyMinutes),
    rowCount: prepareRowCount(db, onlyMinutes),
    pastMark: preparePastMark(db),
  };
}
