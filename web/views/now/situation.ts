/** What the Now view knows at one moment, gathered so that its sentences are a pure function of it. */
import type { Formats, Times } from '../../format.ts';
import type { Connection } from '../../state/connection.ts';
import { type Freshness, freshness } from '../../state/freshness.ts';
import { agentNow, type Live, type StationLive } from '../../state/live.ts';
import type { Outage } from '../../state/outage.ts';

export interface Situation {
  connection: Connection;
  /** Null where there is no station, or the agent was never heard. */
  live: StationLive | null;
  helloHeard: boolean;
  freshness: Freshness;
  /** By the page's monotonic clock. */
  nowMs: number;
  /** By the agent's wall clock, epoch ms; null before the first hello. */
  nowAt: number | null;
  /** An outage that goes on, or the last one until it is put away. */
  outage: Outage | null;
  formats: Formats;
  times: Times;
}

export function situationOf(parts: {
  connection: Connection;
  live: Live;
  selected: string | null;
  nowMs: number;
  outage: Outage | null;
  formats: Formats;
  times: Times;
}): Situation {
  const { connection, live, nowMs } = parts;
  const station = live.stations.find(s => s.station.id === parts.selected) ?? live.stations[0] ?? null;
  return {
    connection,
    live: station,
    helloHeard: live.hello !== null,
    freshness: station === null ? 'none' : freshness(station, connection, nowMs),
    nowMs,
    nowAt: agentNow(live, nowMs),
    outage: parts.outage,
    formats: parts.formats,
    times: parts.times,
  };
}

/** A projection may be shown only over readings that still hold. */
export const mayPromise = (s: Situation): boolean =>
  (s.freshness === 'live' || s.freshness === 'typed') && s.connection.phase !== 'lost' && s.live?.projection != null;
