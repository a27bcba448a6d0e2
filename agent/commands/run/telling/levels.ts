/** State of charge before a stretch of time and after it, %: what a station was lent with, and came back with. */
import type { RecordQueries, Span } from '#messages';

const HOUR_MS = 3_600_000;
/** First minutes near by, then two days, since a station may rest before it is given away; what is older is no answer. */
const WINDOWS = [
  { reachMs: 6 * HOUR_MS, points: 360 },
  { reachMs: 48 * HOUR_MS, points: 576 },
];

type Asked = Pick<RecordQueries, 'series'>;

export function levelsAround(
  record: Asked,
  { station, fromMs, toMs }: Span,
): { beforePct: number | null; afterPct: number | null } {
  return {
    beforePct: near(record, station, reachMs => [fromMs - reachMs, fromMs], 'last'),
    afterPct: toMs === null ? null : near(record, station, reachMs => [toMs, toMs + reachMs], 'first'),
  };
}

function near(
  record: Asked,
  station: string,
  reach: (ms: number) => [fromMs: number, toMs: number],
  which: 'first' | 'last',
): number | null {
  for (const { reachMs, points } of WINDOWS) {
    const [fromMs, toMs] = reach(reachMs);
    const series = record.series({ station, quantities: ['stateOfChargePct'], fromMs, toMs, points });
    // A bucket that reaches over the edge would tell of the other side too.
    const within = (series.columns.stateOfChargePct?.mean ?? []).filter((_, i) => {
      const startMs = series.startMs + i * series.stepMs;
      return startMs >= fromMs && startMs + series.stepMs <= toMs;
    });
    const told = which === 'first' ? within.find(pct => pct !== null) : within.findLast(pct => pct !== null);
    if (told !== undefined && told !== null) return told;
  }
  return null;
}
