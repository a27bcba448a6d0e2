/** A follower with the engine that looks ahead for it, in one process and without a record. */
import type { RuntimeMemory } from '#energy/estimates/runtime/engine';
import type { StationFacts } from '../../agent/derive/facts.ts';
import { createFollower, type Resume } from '../../agent/derive/follow.ts';
import { createOutlook } from '../../agent/derive/outlook.ts';

const FRESH: Resume = { at: null, latest: null, openOutage: null };

/** @param learned what an earlier run learned */
export function lookingFollower(facts: StationFacts, resume = FRESH, learned: RuntimeMemory | null = null) {
  const follower = createFollower(facts, resume);
  const outlook = createOutlook(facts, learned);
  return {
    add(...[reading]: Parameters<typeof follower.add>) {
      const followed = follower.add(reading);
      outlook.add(followed.told);
      return followed;
    },
    recall(...[atMs, minute]: Parameters<typeof follower.recall>) {
      follower.recall(atMs, minute);
      outlook.recall(atMs, minute.outputW, minute.solarW);
    },
    project: (atMs: number) => follower.project(atMs, outlook.ahead(atMs)),
    learned: outlook.memory,
  };
}
