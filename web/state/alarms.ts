/**
 * What the owner is called for, on every view: half an hour or less is promised, or a load that cycles has gone quiet.
 * Each is raised once and stands until it is over or put away; a new one is raised only after it was over for a while.
 * Instants epoch ms by the agent's clock.
 */
import type { WireProjection } from '#messages';
import type { Live, StationLive } from './live.ts';

export type Alarm = {
  /** Tells one raising from another. */
  id: string;
  station: string;
  raisedAt: number;
} & (
  | { kind: 'ending'; floorPct: number /** The promised end, as it stood when it was raised. */; atLeastAt: number }
  | { kind: 'quiet'; name: string | null; powerW: number; sinceAt: number }
);

const MINUTE_MS = 60_000;
export const WARN_MIN = 30;
/** Over only when so much more is promised again: a range that breathes raises nothing twice. */
const OVER_MIN = 45;
/** For so long at least: a mains that flickers ends nothing. */
const OVER_FOR_MS = MINUTE_MS;
/** Anew, with a call of its own, only after it was over for so long; before that the same one stands again. */
const CALM_MS = 10 * MINUTE_MS;

export interface Alarms {
  /** What stands now, oldest first. */
  see(live: Live, nowAt: number): readonly Alarm[];
  putAway(id: string): void;
}

export function createAlarms(): Alarms {
  const ending = new Map<string, ReturnType<typeof createEnding>>();
  const quiet = new Map<string, Alarm>();
  const away = new Set<string>();

  function endingOf(s: StationLive, nowAt: number): Alarm | null {
    const { id } = s.station;
    const watch = ending.get(id) ?? createEnding(id);
    ending.set(id, watch);
    return watch(s.projection, nowAt);
  }

  function quietOf(s: StationLive, nowAt: number): Alarm[] {
    const { projection, station } = s;
    // Of a station that is not being read nothing new is known: what stands stays.
    if (projection === null || projection.why === 'stale')
      return [...quiet.values()].filter(alarm => alarm.station === station.id);
    const told = projection.quiet.map(load => ({ ...load, key: `quiet ${station.id} ${load.sinceAt}` }));
    for (const [key, alarm] of quiet)
      if (alarm.station === station.id && !told.some(load => load.key === key)) quiet.delete(key);
    return told.map(({ key, name, powerW, sinceAt }) => {
      const alarm: Alarm = quiet.get(key) ?? {
        id: key,
        station: station.id,
        raisedAt: nowAt,
        kind: 'quiet',
        name,
        powerW,
        sinceAt: Date.parse(sinceAt),
      };
      quiet.set(key, alarm);
      return alarm;
    });
  }

  return {
    see(live, nowAt) {
      const all = live.stations.flatMap(s => {
        const low = endingOf(s, nowAt);
        return low === null ? quietOf(s, nowAt) : [low, ...quietOf(s, nowAt)];
      });
      return all.filter(alarm => !away.has(alarm.id)).sort((a, b) => a.raisedAt - b.raisedAt);
    },
    putAway: id => void away.add(id),
  };
}

/** The watch over one station's promised end. */
function createEnding(station: string) {
  /** The last one raised; it stands again where it was over for too short a time. */
  let last: Alarm | null = null;
  let stands = false;
  let armed = true;
  let overSince: number | null = null;

  const raise = (nowAt: number, floorPct: number, atLeastAt: number): void => {
    stands = true;
    const again = armed || last === null ? null : last;
    armed = false;
    last = {
      id: again?.id ?? `ending ${station} ${nowAt}`,
      station,
      raisedAt: nowAt,
      kind: 'ending',
      floorPct,
      atLeastAt,
    };
  };

  return (projection: WireProjection | null, nowAt: number): Alarm | null => {
    const standing = () => (stands ? last : null);
    if (projection === null || projection.why === 'stale') return standing();
    const { onMains, emptyAt, floorPct } = projection;
    // At its floor the sentence says so; what was raised on the way there stands.
    if (projection.why === 'atFloor' && !onMains) return standing();
    const atLeastAt = onMains || emptyAt === null ? Number.POSITIVE_INFINITY : Date.parse(emptyAt.p10);
    const leftMin = (atLeastAt - nowAt) / MINUTE_MS;
    if (leftMin > OVER_MIN) {
      overSince ??= nowAt;
      if (nowAt - overSince >= OVER_FOR_MS) stands = false;
      if (nowAt - overSince >= CALM_MS) armed = true;
    } else {
      overSince = null;
      if (!stands && leftMin <= WARN_MIN) raise(nowAt, floorPct, atLeastAt);
    }
    return standing();
  };
}
