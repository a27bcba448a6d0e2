/**
 * Aiming at all stations of a watch: who serves whom for a reference, when it is told, and what the owner changes. A
 * judgement is made only for a station somebody looks at, at most once a second, and at once after a change.
 */
import type { Plane } from '#energy/laws/incidence';
import { type Clock, type Reading, WattkeepError } from '#kit';
import type {
  LiveMessage,
  MarkAnswer,
  MarkChange,
  MarkChoice,
  RecordQueries,
  SpotChange,
  StationSettings,
} from '#messages';
import type { StationFacts } from '../../../derive/facts.ts';
import { type PlaneFrom, planesFrom } from '../../../derive/standing.ts';
import { type AimDesk, openAimDesk } from './desk.ts';
import type { Keep } from './kept.ts';

const TELL_EVERY_MS = 1_000;

export interface AimsParts {
  readonly record: Pick<RecordQueries, 'spots' | 'marks' | 'lastMark' | 'facts'>;
  readonly clock: Pick<Clock, 'nowMs' | 'monoMs'>;
  readonly keep: Keep;
  readonly gives: (station: StationSettings) => readonly string[];
  /** Whether somebody looks at the aiming of a station. */
  readonly listens: (station: string) => boolean;
  readonly publish: (message: LiveMessage) => void;
  /** Has simulated panels carried; undefined where none are simulated. */
  readonly carry: ((spot: string) => void) | undefined;
  /** Where the panels of a station stand, or how, has changed. */
  readonly onStanding: (station: string) => void;
}

export interface Aims {
  /** Stations as the settings say; those that are not among them go. */
  seat(stations: readonly { settings: StationSettings; facts: StationFacts }[]): void;
  /** Takes a reading as it is kept. */
  add(reading: Reading): void;
  /** What a page that begins to look at it is told. */
  current(station: string): LiveMessage | null;
  /** The planes that spots gave its panels, by time. */
  planes(station: string): readonly PlaneFrom[];
  planeNow(station: string): Plane | null;
  desk(station: string): AimDesk;
  /** Each throws WattkeepError where it cannot be done or saved. */
  mark(station: string, choice: MarkChoice): MarkAnswer;
  changeMarks(station: string, change: MarkChange): void;
  changeSpots(station: string, change: SpotChange): void;
}

export function createAims(parts: AimsParts): Aims {
  const { clock } = parts;
  const desks = new Map<string, AimDesk>();
  const names = new Map<string, string>();
  const toldMono = new Map<string, number>();

  const deskOf = (station: string): AimDesk => {
    const desk = desks.get(station);
    if (desk !== undefined) return desk;
    throw new WattkeepError('STATION_UNKNOWN', `There is no station "${station}".`, 'Look up its id in Setup.');
  };

  /** Another station whose panels stood still while these were being moved. */
  const elsewhere = (station: string, atMs: number) => {
    if (desks.size < 2) return null;
    const since = desks.get(station)?.standsSinceMs(atMs) ?? null;
    for (const [id, desk] of desks) {
      const powerW = id === station ? null : desk.steadyW(atMs, since);
      if (powerW !== null && powerW > 0) return { name: names.get(id) ?? id, powerW };
    }
    return null;
  };

  const tell = (station: string): void => {
    if (!parts.listens(station)) return;
    toldMono.set(station, clock.monoMs());
    parts.publish(deskOf(station).message(clock.nowMs()));
  };

  /** After a change of the owner's: told at once. */
  const changed = (station: string, stands: boolean): void => {
    if (stands) parts.onStanding(station);
    tell(station);
  };

  return {
    seat(stations) {
      for (const id of desks.keys()) if (!stations.some(({ settings }) => settings.id === id)) desks.delete(id);
      for (const { settings, facts } of stations) {
        names.set(settings.id, settings.name);
        const desk = desks.get(settings.id);
        if (desk !== undefined) desk.setFacts(settings, facts);
        else desks.set(settings.id, openAimDesk(settings, facts, deskParts(parts, settings)));
      }
    },
    add(reading) {
      const desk = desks.get(reading.station);
      if (desk === undefined || reading.typed === true) return;
      desk.add(reading, elsewhere(reading.station, reading.at));
      const told = toldMono.get(reading.station) ?? Number.NEGATIVE_INFINITY;
      // A reading that comes a little early is not left out.
      if (clock.monoMs() - told >= 0.9 * TELL_EVERY_MS) tell(reading.station);
    },
    current: station => desks.get(station)?.message(clock.nowMs()) ?? null,
    planes: station => planesFrom(deskOf(station).kept.facts()),
    planeNow: station => deskOf(station).planeNow(clock.nowMs()),
    desk: deskOf,
    mark(station, choice) {
      const answer = deskOf(station).mark(choice, clock.nowMs());
      changed(station, true);
      return answer;
    },
    changeMarks(station, change) {
      deskOf(station).changeMarks(change, clock.nowMs());
      changed(station, change.do === 'name');
    },
    changeSpots(station, change) {
      deskOf(station).changeSpots(change, clock.nowMs());
      changed(station, true);
    },
  };
}

const deskParts = (parts: AimsParts, settings: StationSettings) => ({
  record: parts.record,
  keep: parts.keep,
  gives: () => parts.gives(settings),
  carry: parts.carry,
});
