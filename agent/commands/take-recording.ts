/**
 * Readings of a recording into the record, by the same road as live ones: followed, tallied, saved in whole batches. For
 * the demo's past and for `import`.
 */
import type { KeptReading, RecordQueries, RecordWriter } from '#messages';
import type { StationFacts } from '../derive/facts.ts';
import { createFollower, type Follower } from '../derive/follow.ts';
import { createOutlook } from '../derive/outlook.ts';
import { learnedAsKept } from './run/learned.ts';
import { createPending, enter } from './run/pending.ts';

/** Large enough that commits cost little, small enough that one fits in memory many times. */
const READINGS_A_COMMIT = 20_000;

export interface Taken {
  readings: number;
  fromMs: number | null;
  toMs: number | null;
}

export interface RecordingTaker {
  add(reading: KeptReading): void;
  /** Saves what is left. */
  end(): Taken;
}

/**
 * Takes readings in order, none before `resumeAt`. Those that are means come as far apart as they are means over.
 *
 * @param resumeAt last instant on record for the station, or null
 */
export function createTaker(
  facts: StationFacts,
  record: RecordWriter & Pick<RecordQueries, 'counterEnds'>,
  resumeAt: number | null,
): RecordingTaker {
  const pending = createPending();
  const taken: Taken = { readings: 0, fromMs: null, toMs: null };
  const commit = () => {
    const batch = pending.batch();
    if (batch === null) return;
    record.commit(batch);
    pending.saved();
  };
  let station: string | null = null;
  let follower: Follower | null = null;
  const outlook = createOutlook(facts, null);
  let { intervalMs } = facts;
  return {
    add(reading) {
      station = reading.station;
      follower ??= createFollower(facts, {
        at: resumeAt,
        latest: null,
        openOutage: null,
        counters: record.counterEnds(station),
      });
      const apartMs = reading.meanOverMs ?? facts.intervalMs;
      if (apartMs !== intervalMs) follower.setFacts({ ...facts, intervalMs: apartMs });
      intervalMs = apartMs;
      const followed = follower.add(reading);
      outlook.add(followed.told);
      enter(pending, followed, facts.inputSource);
      taken.readings++;
      taken.fromMs ??= reading.at;
      taken.toMs = reading.at;
      if (pending.size >= READINGS_A_COMMIT) commit();
    },
    end() {
      if (station !== null && taken.toMs !== null)
        pending.learned({ station, valueJson: learnedAsKept(JSON.stringify(outlook.memory()), taken.toMs) });
      commit();
      return taken;
    },
  };
}

/** As `createTaker`, of readings that are there already. */
export function takeRecording(
  readings: Iterable<KeptReading>,
  facts: StationFacts,
  record: RecordWriter & Pick<RecordQueries, 'counterEnds'>,
  resumeAt: number | null,
): Taken {
  const taker = createTaker(facts, record, resumeAt);
  for (const reading of readings) taker.add(reading);
  return taker.end();
}
