/** Where the clear sky's energy went, against the plant that knows: ten days with cloud, shade and a full battery. */
import { describe, expect, it } from 'vitest';
import { startOfDate } from '#energy/civil-day';
import { CAUSES, offOf, splitDays } from '../support/ledger-split.ts';

const ZONE = 'Europe/Rome';

describe('where the rest of a clear sky went, at the honey shed', () => {
  it('is near what each cause truly took', () => {
    const [fromMs, toMs] = [startOfDate('2026-06-09', ZONE), startOfDate('2026-06-19', ZONE)];
    const { days } = splitDays({
      latitudeDeg: 44.5,
      longitudeDeg: 11,
      zone: ZONE,
      fromMs,
      toMs,
      seed: 5,
      spot: 'step',
    });
    // Over all days within 4 % of the clear sky, on nine days in ten within 9 %.
    for (const cause of CAUSES) {
      const off = offOf(days, cause);
      expect(Math.abs(off.all), cause).toBeLessThan(0.04);
      expect(off.p90, cause).toBeLessThan(0.09);
    }
    // The shade of chimney and tree, and the afternoons of a full battery.
    for (const cause of ['shade', 'full'] as const) {
      const [truth, told] = offOf(days, cause).allWh;
      expect(told! / truth!, cause).toBeGreaterThan(0.6);
      expect(told! / truth!, cause).toBeLessThan(1.3);
    }
    const clear = days.filter(({ truth, clearSkyWh }) => Math.abs(truth.cloud) < 0.02 * clearSkyWh);
    expect(clear.length).toBeGreaterThan(2);
    for (const { told, clearSkyWh } of clear) expect(told.cloud / clearSkyWh).toBeLessThan(0.09);
  });
});
