/**
 * How many rows a file of readings would have: readings by the counts that their blocks carry, none of them opened, and
 * minutes of which no readings are left. The blocks at both ends count by their share of the time, so the sum may be off by
 * a part of an hour.
 */
import type { RowCount } from '#messages';
import type { Connection } from '../connection.ts';
import type { OnlyMinutes } from './only-minutes.ts';

const HOUR_MS = 3_600_000;
const SHARE = '(min(toAt + 1, @toMs) - max(fromAt, @fromMs)) / (toAt + 1.0 - fromAt)';

export function prepareRowCount(
  db: Connection,
  onlyMinutes: OnlyMinutes,
): (station: string, fromMs: number, toMs: number) => RowCount {
  const stationId = db.prepare<[string], number>('SELECT id FROM station WHERE name = ?').pluck();
  const within = 'station = @id AND fromAt < @toMs AND toAt >= @fromMs';
  const ask = db
    .prepare<[{ id: number; fromMs: number; toMs: number; earliest: number }], number | null>(
      `SELECT sum(count * share) FROM (SELECT count, ${SHARE} AS share FROM blk WHERE ${within} AND fromAt > @earliest
       UNION ALL SELECT count, ${SHARE} FROM tail WHERE ${within})`,
    )
    .pluck();
  return (station, fromMs, toMs) => {
    const id = stationId.get(station);
    if (id === undefined) return { readings: 0, minutes: 0 };
    let minutes = 0;
    for (const { slots } of onlyMinutes.days(id, fromMs, toMs)) minutes += slots.length;
    return { readings: Math.round(ask.get({ id, fromMs, toMs, earliest: fromMs - HOUR_MS }) ?? 0), minutes };
  };
}
