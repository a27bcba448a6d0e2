/** The split of the Ledger against the plant over seasons, spots and skies; prints how near it came. */
import { describe, expect, it } from 'vitest';
import { shiftDate, startOfDate } from '#energy/civil-day';
import { SHED_SPOTS } from '../../simulators/honey-shed-spots.ts';
import { CAUSES, offOf, type SplitDay, splitDays } from '../support/ledger-split.ts';

const ZONE = 'Europe/Rome';
const DAYS = 40;
const STARTS = ['2026-01-20', '2026-04-10', '2026-06-20', '2026-09-10'];

describe('where the rest of a clear sky went, against the plant', () => {
  it('is near the truth at every spot and in every season', () => {
    const all: SplitDay[] = [];
    for (const [i, start] of STARTS.entries()) {
      for (const [k, { id: spot }] of SHED_SPOTS.entries()) {
        const place = { latitudeDeg: [44.5, 34.6, 52, -37][i]!, longitudeDeg: 11 };
        const [fromMs, toMs] = [startOfDate(start, ZONE), startOfDate(shiftDate(start, DAYS), ZONE)];
        const { days } = splitDays({ ...place, zone: ZONE, fromMs, toMs, seed: 100 + 10 * i + k, spot });
        all.push(...days);
        const told = CAUSES.map(cause => {
          const { allWh, all: share, p90 } = offOf(days, cause);
          return `${cause} ${allWh.map(wh => Math.round(wh)).join('/')} (${(100 * share).toFixed(1)} %, p90 ${(100 * p90).toFixed(1)} %)`;
        });
        console.log(`${start} ${spot}: ${told.join(', ')}`);
      }
    }
    for (const cause of CAUSES) {
      const off = offOf(all, cause);
      console.log(
        `all ${cause}: ${off.allWh.map(wh => Math.round(wh)).join('/')} ${(100 * off.all).toFixed(1)} % p50 ${(100 * off.p50).toFixed(1)} p90 ${(100 * off.p90).toFixed(1)}`,
      );
      expect(Math.abs(off.all), cause).toBeLessThan(0.04);
      expect(off.p90, cause).toBeLessThan(0.1);
    }
  });
});
