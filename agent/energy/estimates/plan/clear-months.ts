/**
 * What panels would give on a cloudless day of each month, where they stand: the mean of four days of the month in steps of
 * a quarter of an hour. Wh a day, and kilowatt-hours a square metre on their planes (peak sun hours). A model, known to some
 * 10 % a day; air is taken as 20 °C all year, which promises a little much in summer and a little less in winter.
 */

import { totalWm2 } from '../../laws/plane-of-array.ts';
import type { StandingPanels } from '../../ledger/clear-day.ts';
import { onPlane, panelPowerW, UNKNOWN_AIR } from '../../panel-power.ts';
import { clearSkyOver, type SkyPlace } from '../../sky.ts';

const DAY_MS = 86_400_000;
const STEP_MS = 15 * 60_000;
const STEP_H = STEP_MS / 3_600_000;
/** Of each month: their mean lies within 1 % of that of all days up to 50° of latitude, within 2 % at 60°. */
const DAYS = [4, 12, 19, 27] as const;

export interface ClearMonth {
  /** 1 to 12. */
  month: number;
  /** Never more at a moment than the ports take. */
  clearWh: number;
  /** The same, were there no port. */
  freeWh: number;
  sunHours: number;
}

/**
 * Sums over one day of universal time, which holds one day of sun wherever the place lies.
 *
 * @param limitW what the ports take together; null: not told
 */
export function clearDay(
  startMs: number,
  place: SkyPlace,
  panels: readonly StandingPanels[],
  limitW: number | null,
): Omit<ClearMonth, 'month'> {
  const skyAt = clearSkyOver(place);
  const ratedW = panels.reduce((sum, p) => sum + p.peakW, 0);
  const limit = limitW ?? Number.POSITIVE_INFINITY;
  let [clearWh, freeWh, sunHours] = [0, 0, 0];
  for (let at = startMs + STEP_MS / 2; at < startMs + DAY_MS; at += STEP_MS) {
    const sky = skyAt(at);
    let powerW = 0;
    for (const group of panels) {
      const light = onPlane(sky, group.plane);
      powerW += panelPowerW(light, UNKNOWN_AIR, group);
      sunHours += (totalWm2(light) / 1000) * STEP_H * (group.peakW / ratedW);
    }
    freeWh += powerW * STEP_H;
    clearWh += Math.min(limit, powerW) * STEP_H;
  }
  return { clearWh, freeWh, sunHours };
}

/** January to December of a year. @param panels at least one of them */
export function clearMonths(
  place: SkyPlace,
  panels: readonly StandingPanels[],
  limitW: number | null,
  year: number,
): ClearMonth[] {
  return Array.from({ length: 12 }, (_, i) => {
    const days = DAYS.map(day => clearDay(Date.UTC(year, i, day), place, panels, limitW));
    const mean = (of: (day: (typeof days)[number]) => number) => days.reduce((sum, d) => sum + of(d), 0) / days.length;
    return {
      month: i + 1,
      clearWh: mean(d => d.clearWh),
      freeWh: mean(d => d.freeWh),
      sunHours: mean(d => d.sunHours),
    };
  });
}
