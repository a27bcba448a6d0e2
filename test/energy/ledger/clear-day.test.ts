/** A cloudless day by the minute: the shortcut over every fifth one, and days without a sunrise or sunset. */
import { describe, expect, it } from 'vitest';
import { civilDayOf } from '#energy/civil-day';
import { totalWm2 } from '#energy/laws/plane-of-array';
import { clearDay, energyWh, MINUTE_MS, type StandingPanels } from '#energy/ledger/clear-day';
import { onPlane, panelPowerW, UNKNOWN_AIR } from '#energy/panel-power';
import { clearSkyOver, type SkyPlace } from '#energy/sky';

const panels = (tiltDeg: number, azimuthDeg: number, peakW = 300): StandingPanels => ({
  peakW,
  powerPerK: -0.004,
  lossShare: 0.1,
  plane: { tiltDeg, azimuthDeg },
});
const place = (latitudeDeg: number, longitudeDeg = 0): SkyPlace => ({
  latitudeDeg,
  longitudeDeg,
  altitudeM: 0,
  turbidity: 3,
});
const dayOf = (date: string, zone = 'UTC') => civilDayOf(Date.parse(`${date}T12:00:00Z`), zone);
const minutesIn = ({ startMs, endMs }: { startMs: number; endMs: number }) => (endMs - startMs) / MINUTE_MS;

/** Every minute worked out for itself. */
function everyMinute(startMs: number, minutes: number, at: SkyPlace, groups: readonly StandingPanels[]) {
  const skyAt = clearSkyOver(at);
  let [powerWh, planeWh] = [0, 0];
  for (let m = 0; m < minutes; m++) {
    const sky = skyAt(startMs + (m + 0.5) * MINUTE_MS);
    for (const group of groups) {
      const light = onPlane(sky, group.plane);
      powerWh += panelPowerW(light, UNKNOWN_AIR, group) / 60;
      planeWh += totalWm2(light) / 60 / groups.length;
    }
  }
  return { powerWh, planeWh };
}

describe('a cloudless day', () => {
  const DATES = ['2026-03-20', '2026-06-21', '2026-10-02', '2026-12-21', '2028-02-29'];
  const PLACES = [place(0, 20), place(34.6, 15), place(-34, 150), place(47, 8), place(60, 25), place(68, 20)];
  const PLANES = [panels(0, 0), panels(30, 180), panels(60, 95), panels(90, 270)];

  it('worked out every fifth minute holds the energy of every minute within 0.1 %', () => {
    let worst = 0;
    for (const date of DATES) {
      const { startMs } = dayOf(date);
      for (const at of PLACES) {
        for (const group of PLANES) {
          const day = clearDay(startMs, 1440, at, [group]);
          const true_ = everyMinute(startMs, 1440, at, [group]);
          if (true_.powerWh < 30) continue;
          worst = Math.max(worst, Math.abs(energyWh(day.powerW) / true_.powerWh - 1));
          worst = Math.max(worst, Math.abs(energyWh(day.planeWm2) / true_.planeWh - 1));
        }
      }
    }
    expect(worst).toBeLessThan(0.001);
  });

  it('is dark all through a polar night and lit all through a polar day', () => {
    const { startMs } = dayOf('2026-12-21');
    expect(energyWh(clearDay(startMs, 1440, place(78), [panels(60, 180)]).powerW)).toBe(0);
    const summer = clearDay(dayOf('2026-06-21').startMs, 1440, place(78), [panels(0, 0)]);
    expect(Math.min(...summer.powerW)).toBeGreaterThan(0);
  });

  it.each([
    ['Europe/Rome', '2026-03-29', 1380],
    ['Europe/Rome', '2026-10-25', 1500],
    ['Australia/Lord_Howe', '2026-04-05', 1470],
    ['Australia/Lord_Howe', '2026-10-04', 1410],
    ['Asia/Kathmandu', '2028-02-29', 1440],
  ])('in %s on %s has %d minutes and the same sun', (zone, date, minutes) => {
    const day = dayOf(date, zone);
    expect(minutesIn(day)).toBe(minutes);
    const at = place(
      zone.startsWith('Aus') ? -31.5 : 42,
      zone.startsWith('Eur') ? 12 : zone.startsWith('Asia') ? 85 : 159,
    );
    const { powerW } = clearDay(day.startMs, minutes, at, [panels(0, 0)]);
    expect(powerW).toHaveLength(minutes);
    expect(energyWh(powerW)).toBeCloseTo(everyMinute(day.startMs, minutes, at, [panels(0, 0)]).powerWh, 0);
  });

  it('weighs kinds of panels by their rating and takes the plane they were carried to', () => {
    const { startMs } = dayOf('2026-06-21');
    const both = clearDay(startMs, 1440, place(45), [panels(30, 180, 300), panels(90, 0, 100)]);
    const each = [panels(30, 180, 300), panels(90, 0, 100)].map(group => clearDay(startMs, 1440, place(45), [group]));
    expect(energyWh(both.powerW)).toBeCloseTo(energyWh(each[0]!.powerW) + energyWh(each[1]!.powerW), 6);
    expect(both.planeWm2[720]).toBeCloseTo(0.75 * each[0]!.planeWm2[720]! + 0.25 * each[1]!.planeWm2[720]!, 6);
    const carried = clearDay(startMs, 1440, place(45), [panels(90, 0)], () => ({ tiltDeg: 30, azimuthDeg: 180 }));
    expect(energyWh(carried.powerW)).toBeCloseTo(energyWh(each[0]!.powerW), 6);
  });
});
