/**
 * What is known to shade the panels on each day: learned from the days around that had clear hours, spot by spot. Where
 * they stood nowhere named nothing is known, and what shade took there goes to the clouds.
 */
import type { Level } from '#energy/ledger/own-level';
import { createShadeLearning, LEARNED_AHEAD_DAYS, type ShadeLearning } from '#energy/ledger/shade';
import { type DatedFact, type Stay, staysOf } from '../derive/standing.ts';
import { heldMinutes } from './ledger-held.ts';
import type { LevelDay } from './ledger-levels.ts';
import type { LimitsOn } from './ledger-limits.ts';
import { type MinuteReader, sunMinutes } from './ledger-minutes.ts';

const MINUTE_MS = 60_000;
const DAY_MS = 86_400_000;
const WEEK_MS = 7 * DAY_MS;
/** Clear days of a week at one spot that are learned from. */
const MOST_A_WEEK = 3;
/** A shorter stay at a spot teaches nothing. */
const LEAST_STAY_MS = 2 * 3_600_000;

/** The answer gives the share let through in each minute of a day; null: everything. Days are asked for in order of time. */
export type ThroughOn = (index: number) => Float64Array | null;

interface Lesson {
  readonly index: number;
  readonly stay: Stay & { spot: string };
}

type NamedStay = Lesson['stay'];
const isNamed = (stay: Stay): stay is NamedStay => stay.spot !== null;

/** @param days in order of time, and the level of each */
export function throughOver(
  days: readonly LevelDay[],
  levels: readonly Level[],
  facts: readonly DatedFact[],
  reader: MinuteReader,
  limitsOn: LimitsOn,
): ThroughOn {
  const stays = staysOf(facts).filter(isNamed);
  if (stays.length === 0) return () => null;
  const lessons = lessonsOf(days, levels, stays);
  const learnings = new Map<string, ShadeLearning>();
  let next = 0;
  const learnUntil = (ms: number): void => {
    while (next < lessons.length && days[lessons[next]!.index]!.part.startMs < ms) {
      const { index, stay } = lessons[next++]!;
      const { part, clear, facts: now, plane } = days[index]!;
      // Another place has another sky.
      const key = JSON.stringify([stay.spot, now.place]);
      const learning = learnings.get(key) ?? createShadeLearning(now.place!);
      learnings.set(key, learning);
      const minutes = reader.read(part.startMs, clear!.powerW.length);
      const sunW = sunMinutes(minutes, part.totals);
      const held = heldMinutes(now, minutes, sunW, limitsOn(part.startMs, clear));
      learning.learn({
        startMs: part.startMs,
        sunW: onlyWithin(sunW, part.startMs, stay),
        held,
        clear: clear!,
        level: levels[index]!.level,
        plane: plane!,
      });
    }
  };
  return index => {
    const { part, clear, facts: now } = days[index]!;
    if (clear === null) return null;
    learnUntil(part.startMs + LEARNED_AHEAD_DAYS * DAY_MS);
    let through: Float64Array | null = null;
    for (const stay of stays) {
      if (stay.fromMs >= part.endMs || stay.toMs <= part.startMs) continue;
      const there = learnings.get(JSON.stringify([stay.spot, now.place]))?.throughOn(part.startMs, clear) ?? null;
      if (there === null) continue;
      through ??= new Float64Array(clear.powerW.length).fill(1);
      const [from, to] = minutesOf(part.startMs, through.length, stay);
      through.set(there.subarray(from, to), from);
    }
    return through;
  };
}

/** The stays that teach, in order of time: the first few of a week at each spot. */
function lessonsOf(days: readonly LevelDay[], levels: readonly Level[], stays: readonly NamedStay[]): Lesson[] {
  const taken = new Map<string, number>();
  return days.flatMap(({ part, clear, plane, over }, index) => {
    if (!over || !levels[index]!.isOwn || clear === null || plane === null) return [];
    return stays.flatMap(stay => {
      const heldMs = Math.min(stay.toMs, part.endMs) - Math.max(stay.fromMs, part.startMs);
      if (heldMs < LEAST_STAY_MS) return [];
      const week = `${stay.spot} ${Math.floor(part.startMs / WEEK_MS)}`;
      const count = taken.get(week) ?? 0;
      taken.set(week, count + 1);
      return count < MOST_A_WEEK ? [{ index, stay }] : [];
    });
  });
}

const minutesOf = (startMs: number, count: number, { fromMs, toMs }: Stay): [from: number, to: number] => {
  const minute = (ms: number) => Math.min(count, Math.max(0, Math.ceil((ms - startMs) / MINUTE_MS)));
  return [minute(fromMs), minute(toMs)];
};

function onlyWithin(sunW: Float64Array, startMs: number, stay: Stay): Float64Array {
  const [from, to] = minutesOf(startMs, sunW.length, stay);
  return from === 0 && to === sunW.length ? sunW : sunW.map((watts, m) => (m < from || m >= to ? Number.NaN : watts));
}
