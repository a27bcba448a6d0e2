/**
 * Who looks ahead for the stations of a watch. The agent asks a process of its own, since the engine takes more memory than
 * all the rest of it; tests and verbs ask the same engines in their own process. Instants epoch ms.
 */
import type { OutlastAnswer } from '#messages';
import type { StationFacts } from '../../../derive/facts.ts';
import type { Ahead } from '../../../derive/outlook.ts';
import type { Told } from '../../../derive/told.ts';
import type { OutlastAsked } from '../../../server/deps.ts';
import type { PlanKnown } from './plan-known.ts';

/** What is asked of Outlast, with what only the watch knows. */
export interface OutlastOrder {
  readonly station: string;
  readonly asked: OutlastAsked;
  readonly atMs: number;
  /** Of a station that is not being read nothing is promised. */
  readonly silent: boolean;
  /** The other one, where two are taken as one reserve. */
  readonly other: { readonly id: string; readonly name: string } | null;
}

export interface Foresight {
  /** A station comes: its past and what was learned of it are read from the record. */
  seat(station: string, facts: StationFacts): void;
  leave(station: string): void;
  setFacts(station: string, facts: StationFacts): void;
  /** A reading, in order of time. */
  add(station: string, told: Told): void;
  /**
   * What is likely ahead of a station, as of `atMs`. Answers to one station come in the order in which they were asked for;
   * none comes for a station that left meanwhile, nor where whoever looks ahead is away.
   */
  ahead(station: string, atMs: number, answer: (ahead: Ahead) => void): void;
  /** Throws WattkeepError READING_ENDED where whoever looks ahead is away. */
  outlast(order: OutlastOrder): Promise<OutlastAnswer>;
  /** What Plan rests on. Throws as `outlast` does. */
  planKnown(station: string, atMs: number): Promise<PlanKnown>;
  /** What was learned of a station, as JSON of a RuntimeMemory; comes as `ahead` does. */
  learned(station: string, answer: (memoryJson: string) => void): void;
  /** All that was asked is answered, or cannot be any more, or so much time went by. */
  settled(withinMs: number): Promise<void>;
  /** Settles once whoever looks ahead holds the record no more. Idempotent. */
  close(): Promise<void>;
}
