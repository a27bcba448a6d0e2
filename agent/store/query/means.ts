/**
 * Means and greatest values by the minute or the quarter-hour, in packed columns: for whoever goes through months, where
 * boxed numbers cost more than reading them.
 */
import { WattkeepError } from '#kit';
import type { Means, MeansRequest } from '#messages';
import { LEVELS } from '../rollup.ts';
import type { Gather } from './series.ts';

/** The answer may throw REQUEST_INVALID or CodecError. */
export const prepareMeans =
  (gather: Gather) =>
  ({ station, quantities, fromMs, toMs, stepMs }: MeansRequest): Means => {
    const level = LEVELS.find(candidate => candidate.stepMs === stepMs);
    if (level === undefined || fromMs % stepMs !== 0 || toMs <= fromMs)
      throw new WattkeepError(
        'REQUEST_INVALID',
        `Means of ${stepMs} ms from ${fromMs} to ${toMs} cannot be given.`,
        'Ask for whole minutes or quarter-hours, from < to.',
      );
    const count = Math.ceil((toMs - fromMs) / stepMs);
    const gathered = gather(station, quantities, { startMs: fromMs, stepMs, count, level });
    return Object.fromEntries(
      gathered.map(({ key, column, perUnit }) => {
        const [mean, max] = [new Float64Array(count), new Float64Array(count)];
        for (let slot = 0; slot < count; slot++) {
          const values = column.count[slot]!;
          mean[slot] = values === 0 ? Number.NaN : column.sum[slot]! / values / perUnit;
          max[slot] = values === 0 ? Number.NaN : column.max[slot]! / perUnit;
        }
        return [key, { mean, max }];
      }),
    );
  };
