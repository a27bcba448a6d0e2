/**
 * When the stations of a watch are looked ahead for, and what becomes of it: told to pages as soon as it is known, and
 * what was learned of a station kept with the record.
 */
import type { Clock } from '#kit';
import type { LiveMessage } from '#messages';
import type { Desk } from '../desk.ts';
import type { Pending } from '../pending.ts';
import type { Foresight } from './port.ts';

/** Stations projected in one round: a projection costs some 10 ms of one core, and more of them take turns. */
const PROJECTED_A_ROUND = 3;
/** At the end what was learned is waited for so long; then what was kept last stays. */
const END_WAITS_MS = 2_000;

export interface LookingParts {
  readonly desks: ReadonlyMap<string, Desk>;
  readonly foresight: Foresight;
  readonly clock: Clock;
  readonly pending: Pick<Pending, 'learned'>;
  publish(message: LiveMessage): void;
}

export interface Looking {
  /** A station that came: what is ahead of it is told as soon as it is known. */
  ahead(desk: Desk): void;
  /** The same, and its day now. */
  tell(desk: Desk): void;
  /** What was known before, under what is known of the station now. */
  tellNewest(desk: Desk): void;
  /** Looks ahead for some stations, in turns; the day of each is told. */
  round(): void;
  keepLearned(): void;
  /** What nobody tells in time is kept as it was, with what is known here. Nothing is told to pages from now on. */
  keepLearnedAtLast(): Promise<void>;
}

export function createLooking({ desks, foresight, clock, pending, publish }: LookingParts): Looking {
  let rounds = 0;
  let over = false;

  function tellNewest(desk: Desk): void {
    const newest = desk.project(clock.nowMs());
    if (newest !== null) publish(newest);
  }

  function ahead(desk: Desk): void {
    const nowMs = clock.nowMs();
    // Whoever looks ahead is away: nothing is promised any more.
    if (desk.isOverdue(nowMs)) tellNewest(desk);
    desk.look(nowMs, () => {
      if (!over && desks.get(desk.settings.id) === desk) tellNewest(desk);
    });
  }

  function tell(desk: Desk): void {
    ahead(desk);
    publish(desk.day(clock.nowMs()));
  }

  const live = () => [...desks].filter(([, desk]) => desk.isLive());

  return {
    ahead,
    tell,
    tellNewest,
    round() {
      const all = [...desks.values()];
      for (const [i, desk] of all.entries()) {
        if ((i + rounds) % Math.ceil(all.length / PROJECTED_A_ROUND) === 0) tell(desk);
        else publish(desk.day(clock.nowMs()));
      }
      rounds++;
    },
    keepLearned() {
      for (const [station, desk] of live()) desk.learned(valueJson => pending.learned({ station, valueJson }));
    },
    async keepLearnedAtLast() {
      over = true;
      const untold = new Map(live());
      for (const [station, desk] of untold)
        desk.learned(valueJson => {
          if (untold.delete(station)) pending.learned({ station, valueJson });
        });
      await foresight.settled(END_WAITS_MS);
      for (const [station, desk] of untold) {
        const valueJson = desk.learnedBefore();
        if (valueJson !== null) pending.learned({ station, valueJson });
      }
      untold.clear();
    },
  };
}
