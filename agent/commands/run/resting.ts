/**
 * Stations that the owner let go: released for a while, so that the maker's own app can have them, or put away, so that
 * nothing keeps them awake. Each is a span of the record with its reason, so that the gap is explained and a restart of
 * the agent changes nothing.
 */
import { type Clock, WattkeepError } from '#kit';
import type { RecordQueries, Span } from '#messages';
import type { Resting, Supervisor } from '../../stations/index.ts';

export const RELEASE_MS = 600_000;

const REASONS = ['released', 'stored'];

export interface RestingParts {
  readonly record: Pick<RecordQueries, 'spans'>;
  readonly clock: Pick<Clock, 'nowMs'>;
  readonly supervisor: Pick<Supervisor, 'rest' | 'retryNow'>;
  /** Keeps a span, saved before the next question to the record. */
  readonly keep: (span: Span) => void;
}

/** What still holds of what the owner said; undefined where the station is to be read. */
export function restingOf(record: Pick<RecordQueries, 'spans'>, station: string, nowMs: number): Resting | undefined {
  const span = lasting(record, station, nowMs);
  return span === undefined ? undefined : { forMs: span.toMs === null ? null : span.toMs - nowMs };
}

const lasting = (record: Pick<RecordQueries, 'spans'>, station: string, nowMs: number): Span | undefined =>
  record
    .spans(station, nowMs, nowMs + 1)
    .filter(({ reason, toMs }) => REASONS.includes(reason) && (toMs === null || toMs > nowMs))
    .at(-1);

export interface RestingDesk {
  /** For ten minutes. Throws REQUEST_INVALID for a station without a link. */
  release(station: string): void;
  /** Until `takeUp`. Throws REQUEST_INVALID for a station without a link. */
  putAway(station: string): void;
  /** Ends either at once, and tries a link that waits. */
  takeUp(station: string): void;
}

export function createResting({ record, clock, supervisor, keep }: RestingParts): RestingDesk {
  const end = (station: string): void => {
    const nowMs = clock.nowMs();
    const span = lasting(record, station, nowMs);
    if (span !== undefined) keep({ ...span, toMs: nowMs });
  };
  const begin = (station: string, resting: Resting): void => {
    if (!supervisor.rest(station, resting)) {
      throw new WattkeepError('REQUEST_INVALID', `${station} is not read over a link.`, 'There is nothing to let go.');
    }
    end(station);
    const fromMs = clock.nowMs();
    const { forMs } = resting;
    const reason = forMs === null ? 'stored' : 'released';
    keep({ station, reason, fromMs, toMs: forMs === null ? null : fromMs + forMs, note: '' });
  };
  return {
    release: station => begin(station, { forMs: RELEASE_MS }),
    putAway: station => begin(station, { forMs: null }),
    takeUp(station) {
      end(station);
      supervisor.retryNow(station);
    },
  };
}
