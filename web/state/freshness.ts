/** How old a reading is and what that means. All ages in ms of the page's monotonic clock. */
import type { Connection } from './connection.ts';
import type { StationLive } from './live.ts';

export type Freshness =
  | 'none' // no reading yet
  | 'live'
  | 'stale' // silent for longer than the source allows
  | 'disconnected' // the agent has lost the station, or let it go
  | 'typed'; // the owner's own numbers: old by nature

/** The agent has lost it, or lets it go by the owner's word. */
const GONE: readonly unknown[] = ['retrying', 'parked', 'released', 'away'];

export const ageMs = (live: StationLive, nowMs: number): number | null =>
  live.reading === null ? null : Math.max(0, nowMs - live.reading.takenMs);

/** The agent tells when its own link goes stale; the page also judges by itself, since the agent may be what is gone. */
export function freshness(live: StationLive, connection: Connection, nowMs: number): Freshness {
  const phase = live.status?.phase;
  if (phase === 'typed' || live.reading?.wire.typed === true) return live.reading === null ? 'none' : 'typed';
  if (connection.phase === 'open' && GONE.includes(phase)) return 'disconnected';
  const age = ageMs(live, nowMs);
  if (age === null) return 'none';
  if (phase === 'stale') return 'stale';
  const limit = live.status?.staleAfterMs ?? null;
  if (limit !== null && age > limit) return 'stale';
  return connection.phase !== 'open' && limit === null ? 'stale' : 'live';
}
