/** The honey shed's evening behind a fake agent: the usual starting point of tests of the page. */
import type { LiveMessage, WireProjection, WireReading, WireStation, WireStatus } from '#messages';
import { type FakeData, nothingYet } from './fake-agent.ts';
import { shedDays, shedProjection, shedReading, shedSeries, shedStation, shedStatus, shedTally } from './honey-shed.ts';

export interface ShedChanges {
  station?: Partial<WireStation>;
  status?: Partial<WireStatus>;
  /** Null: none has come yet. */
  reading?: Partial<WireReading> | null;
  ageMs?: number;
  projection?: Partial<WireProjection> | null;
  gap?: { fromMs: number; toMs: number };
}

export function shedData(changes: ShedChanges = {}, data: Partial<FakeData> = {}): FakeData {
  const messages: LiveMessage[] = [{ type: 'status', status: shedStatus(changes.status) }];
  if (changes.reading !== null) {
    messages.push({ type: 'reading', ageMs: changes.ageMs ?? 400, reading: shedReading(changes.reading) });
    messages.push({ type: 'day', tally: shedTally() });
  }
  if (changes.projection !== null)
    messages.push({ type: 'projection', projection: shedProjection(changes.projection) });
  return {
    ...nothingYet(),
    stations: [shedStation(changes.station)],
    demo: true,
    messages,
    series: (_station, fromMs, toMs) => shedSeries(fromMs, toMs, changes.gap ?? null),
    days: shedDays(40),
    ...data,
  };
}
