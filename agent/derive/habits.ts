/**
 * What is known of the load by its habits: what is plugged in, looked at every few minutes; the big cycles hours apart, so
 * that a short look back does not hide them; and what cycles but has not drawn for three of its cycles, where that is not
 * how it is at these hours anyway.
 */
import { goneQuiet } from '#energy/estimates/plugged-in/gone-quiet';
import { type NamedLoad, namesFor } from '#energy/estimates/plugged-in/named-loads';
import { type PluggedIn, pluggedIn } from '#energy/estimates/plugged-in/plugged-in';
import { rareCycles } from '#energy/estimates/plugged-in/rare-cycles';
import { pastWithout } from '#energy/estimates/plugged-in/without-loads';
import type { Past } from '#energy/estimates/runtime/minutes';
import type { Supposed } from '#energy/estimates/runtime/suppose';

const MINUTE_MS = 60_000;
/** Finding what is plugged in costs as much as a projection. */
const LOOK_EVERY_MIN = 5;

/** A load that cycles and has not drawn for three of its cycles, other than usual. */
export interface Quiet {
  name: string | null;
  powerW: number;
  /** When it last drew, epoch ms. */
  sinceAt: number;
}

export interface Habits {
  /** The load as it is to be taken: what is rare comes as it is due, not as it fell; null where nothing is rare. */
  usual(atMs: number): Supposed | null;
  quiet(atMs: number, named: readonly NamedLoad[]): Quiet[];
}

export function createHabits(past: () => Past): Habits {
  let seen: { minute: number; loads: PluggedIn[] } | null = null;
  const loadsAt = (atMs: number): PluggedIn[] => {
    const minute = Math.floor(atMs / MINUTE_MS);
    if (seen === null || minute < seen.minute || minute >= seen.minute + LOOK_EVERY_MIN)
      seen = { minute, loads: pluggedIn(past(), minute) };
    return seen.loads;
  };
  return {
    usual(atMs) {
      const loads = loadsAt(atMs);
      const rare = loads.filter(load => load.kind === 'rare');
      if (rare.length === 0) return null;
      return { past: pastWithout(past(), rare), rare: rareCycles(loads, Math.floor(atMs / MINUTE_MS)) };
    },
    quiet(atMs, named) {
      const loads = loadsAt(atMs);
      const names = namesFor(loads, named);
      const nameOf = (load: PluggedIn) => names[loads.indexOf(load)] ?? null;
      const minute = Math.floor(atMs / MINUTE_MS);
      const quiet = goneQuiet(loads, past(), minute, load => nameOf(load)?.mustStayOn === true);
      return quiet.flatMap(({ load, usual }) => {
        const sinceAt = load.lastMinute * MINUTE_MS;
        return usual ? [] : [{ name: nameOf(load)?.name ?? null, powerW: load.powerW, sinceAt }];
      });
    },
  };
}
