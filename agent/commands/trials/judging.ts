/**
 * Judgements of trials from the record. The columns of a live trial are held between two questions, so that only what was
 * recorded since is read; whoever holds this may forget it at any time. Instants UTC epoch ms.
 */
import type { KeptTrial, RecordQueries, WireJudgement } from '#messages';
import { type Columns, createColumns } from '../../trials/columns.ts';
import { judged, wireJudgement } from '../../trials/judged.ts';
import { askedOf, untilAt } from '../../trials/life.ts';

/** Live trials whose columns are held: some 10 MB for a day at a reading a second each. */
const MOST_HELD = 4;
/** After the owner's end, or after the last sample, nothing more is looked at. */
const END_MS = Number.MAX_SAFE_INTEGER;

export type TrialRecord = Pick<RecordQueries, 'readings'>;

export interface TrialJudge {
  judge(record: TrialRecord, trial: KeptTrial, nowMs: number): WireJudgement;
}

interface Held {
  readonly station: Columns;
  readonly meter: Columns | null;
}

export function createTrialJudge(): TrialJudge {
  const held = new Map<string, Held>();

  function readOn(record: TrialRecord, columns: Columns, station: string, fromMs: number, toMs: number): void {
    for (const reading of record.readings(station, columns.lastAt === null ? fromMs : columns.lastAt + 1, toMs))
      columns.add(reading);
  }

  return {
    judge(record, trial, nowMs) {
      const { meterSource } = askedOf(trial);
      const toMs = untilAt(trial, nowMs);
      const of = held.get(trial.id) ?? {
        station: createColumns(),
        meter: meterSource === null || meterSource === trial.station ? null : createColumns(),
      };
      // The newest at the end: the one longest not asked for goes first.
      held.delete(trial.id);
      held.set(trial.id, of);
      for (const id of [...held.keys()].slice(0, Math.max(0, held.size - MOST_HELD))) held.delete(id);
      const end = toMs === null ? END_MS : toMs + 1;
      readOn(record, of.station, trial.station, trial.startedAt, end);
      if (of.meter !== null) readOn(record, of.meter, meterSource!, trial.startedAt, end);
      const meter = meterSource === null ? null : (of.meter ?? of.station).meter();
      return wireJudgement(judged(trial, of.station.samples(), meter, nowMs));
    },
  };
}
