/** The minutes behind a station, read from the record, so that a restart does not forget them. */
import type { RecordQueries } from '#messages';

const MINUTE_MS = 60_000;
const QUANTITIES = ['inputPowerW', 'outputPowerW', 'solarPowerW', 'stateOfChargePct'] as const;

/** Mean powers, W, and percent; null where they were not told. */
export interface RecalledMinute {
  inputW: number | null;
  outputW: number | null;
  solarW: number | null;
  pct: number | null;
}

/**
 * @param stepMs how finely the record is read; a coarser step stands for each of its minutes
 * @param take each minute in which something was told, in order of time
 */
export function recallMinutes(
  record: Pick<RecordQueries, 'series'>,
  station: string,
  { fromMs, toMs, stepMs }: { fromMs: number; toMs: number; stepMs: number },
  take: (atMs: number, minute: RecalledMinute) => void,
): void {
  // A span that does not begin on a step's boundary touches one bucket more.
  const points = Math.ceil((toMs - fromMs) / stepMs) + 1;
  const series = record.series({ station, quantities: QUANTITIES, fromMs, toMs, points });
  const column = (name: (typeof QUANTITIES)[number], i: number) => series.columns[name]?.mean[i] ?? null;
  for (let i = 0; i < series.count; i++) {
    const inputW = column('inputPowerW', i);
    const outputW = column('outputPowerW', i);
    if (inputW === null && outputW === null) continue;
    const values = { inputW, outputW, solarW: column('solarPowerW', i), pct: column('stateOfChargePct', i) };
    for (let at = series.startMs + i * series.stepMs; at < series.startMs + (i + 1) * series.stepMs; at += MINUTE_MS)
      take(at, values);
  }
}
