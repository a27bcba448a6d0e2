/**
 * What the agent has told so far, folded message by message. Moments are kept by the page's monotonic clock: a reading
 * carries its age, never a wall time to subtract.
 */
import {
  reaches,
  type Scope,
  type ServerMessage,
  type WireHealth,
  type WireProjection,
  type WireReading,
  type WireStation,
  type WireStatus,
  type WireTally,
} from '#messages';

export interface KeptReading {
  wire: WireReading;
  /** When it was taken, by the page's monotonic clock, ms. */
  takenMs: number;
}

export interface StationLive {
  station: WireStation;
  reading: KeptReading | null;
  status: WireStatus | null;
  /** When the status was heard, by the page's monotonic clock: countdowns run from there. */
  statusMs: number;
  projection: WireProjection | null;
  tally: WireTally | null;
}

export interface Display {
  temperature: 'C' | 'F';
  clock: '24' | '12' | 'system';
}

export interface Live {
  /** Null until the first hello. */
  hello: { demo: boolean; version: string; agentAt: number; heardMs: number; scope: Scope } | null;
  display: Display;
  stations: readonly StationLive[];
  health: WireHealth | null;
  /** Messages that did not fit their schema. */
  unreadable: number;
}

export const NOTHING_YET: Live = {
  hello: null,
  display: { temperature: 'C', clock: 'system' },
  stations: [],
  health: null,
  unreadable: 0,
};

/** The agent's wall clock now, epoch ms: its hello plus what has passed here since. Null before the first hello. */
export const agentNow = (live: Live, nowMs: number): number | null =>
  live.hello === null ? null : live.hello.agentAt + (nowMs - live.hello.heardMs);

/** Whether this page's session may do `what`; before the first hello nothing but looking. */
export const may = (live: Live, what: Scope): boolean => reaches(live.hello?.scope ?? 'view', what);

const fresh = (station: WireStation): StationLive => ({
  station,
  reading: null,
  status: null,
  statusMs: 0,
  projection: null,
  tally: null,
});

/** The next state; pure. `nowMs` by the page's monotonic clock. */
export function fold(live: Live, message: ServerMessage, nowMs: number): Live {
  switch (message.type) {
    case 'hello': {
      const known = new Map(live.stations.map(s => [s.station.id, s]));
      return {
        ...live,
        hello: {
          demo: message.demo,
          version: message.version,
          agentAt: Date.parse(message.now),
          heardMs: nowMs,
          scope: message.scope ?? 'view',
        },
        display: message.display,
        stations: message.stations.map(station => ({ ...(known.get(station.id) ?? fresh(station)), station })),
      };
    }
    case 'reading': {
      const reading = { wire: message.reading, takenMs: nowMs - message.ageMs };
      return change(live, message.reading.station, { reading });
    }
    case 'status':
      return change(live, message.status.station, { status: message.status, statusMs: nowMs });
    case 'projection':
      return change(live, message.projection.station, { projection: message.projection });
    case 'day':
      return change(live, message.tally.station, { tally: message.tally });
    case 'health':
      return { ...live, health: message.health };
    // Kept by what shows them.
    case 'aim':
    case 'alarms':
    case 'trials':
    case 'beat':
      return live;
  }
}

/** Replaces parts of one station; a station not in the hello is not shown. */
export function change(live: Live, id: string, part: Partial<StationLive>): Live {
  return { ...live, stations: live.stations.map(s => (s.station.id === id ? { ...s, ...part } : s)) };
}
