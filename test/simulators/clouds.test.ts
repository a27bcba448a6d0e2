/** Broken days of the plant beside a measured one: by the minute, sun above 15°, over many days of several seeds. */
import { describe, expect, it } from 'vitest';
import { clearSkyOver } from '#energy/sky';
import { createSky } from '../../simulators/plant/light/sky.ts';
import { solarDay, weatherOf } from '../../simulators/plant/weather.ts';
import { BRIGHT_SHARE, CLEAR_SKY_INDEX, CORRELATIONS, RAMPS } from '../reference/broken-day.ts';
import {
  MEASURED_ALTITUDE_M,
  MEASURED_FROM_MS,
  MEASURED_PLACE,
  MEASURED_TURBIDITY,
  MEASURED_WM2,
} from '../reference/broken-day-minutes.ts';
import { DAY_MS } from './shed.ts';

const SEEDS = [1, 2, 3, 4, 5, 6, 7, 8];
const DAYS_OF_EACH = 5;
const PLACE = { latitudeDeg: -34.6, longitudeDeg: 0 };
const LOWEST_SUN = Math.sin((15 * Math.PI) / 180);

/** Clear-sky index of each minute of one day. */
function minutesOf(skyAt: ReturnType<typeof createSky>, day: number): number[] {
  const indices: number[] = [];
  for (let minute = 300; minute < 1140; minute++) {
    let [global, clear, up] = [0, 0, 0];
    for (let s = 0; s < 60; s += 10) {
      const sky = skyAt(day * DAY_MS + minute * 60_000 + s * 1000);
      global += sky.globalWm2;
      clear += sky.clearGlobalWm2;
      up = sky.sun.up;
    }
    if (up >= LOWEST_SUN) indices.push(global / clear);
  }
  return indices;
}

const first = solarDay(Date.UTC(2026, 10, 1), 0);
const days = SEEDS.flatMap(seed => {
  const skyAt = createSky(seed, PLACE);
  const broken = Array.from({ length: 60 }, (_, k) => first + k).filter(d => weatherOf(seed, d, 1).regime === 'broken');
  return broken.slice(0, DAYS_OF_EACH).map(day => minutesOf(skyAt, day));
});
const indices = days.flat();
const ramps = days.flatMap(day => day.slice(1).map((k, i) => Math.abs(k - day[i]!)));

const quantile = (values: readonly number[], share: number): number => {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted[Math.round(share * (sorted.length - 1))]!;
};
const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;

function correlation(day: readonly number[], apart: number): number {
  const middle = mean(day);
  const spread = mean(day.map(k => (k - middle) ** 2));
  return mean(day.slice(apart).map((k, i) => (k - middle) * (day[i]! - middle))) / spread;
}

describe('the measured day', () => {
  const skyAt = clearSkyOver({ ...MEASURED_PLACE, altitudeM: MEASURED_ALTITUDE_M, turbidity: MEASURED_TURBIDITY });
  const measured = MEASURED_WM2.map((wm2, i) => wm2 / skyAt(MEASURED_FROM_MS + i * 60_000).ghiWm2);
  const steps = measured.slice(1).map((k, i) => Math.abs(k - measured[i]!));

  it('has 499 minutes here, of which come the figures that the plant is held against', () => {
    expect(measured).toHaveLength(499);
    for (const [share, index] of CLEAR_SKY_INDEX)
      expect(Math.abs(quantile(measured, share) - index)).toBeLessThan(0.01);
    for (const [share, ramp] of RAMPS) expect(Math.abs(quantile(steps, share) / ramp - 1)).toBeLessThan(0.05);
    for (const [apart, of] of CORRELATIONS) expect(Math.abs(correlation(measured, apart) - of)).toBeLessThan(0.01);
    expect(Math.abs(measured.filter(k => k > 1.05).length / measured.length - BRIGHT_SHARE)).toBeLessThan(0.002);
  });
});

describe('broken days beside the measured one', () => {
  it('are forty, each of several hundred minutes', () => {
    expect(days).toHaveLength(SEEDS.length * DAYS_OF_EACH);
    expect(Math.min(...days.map(day => day.length))).toBeGreaterThan(500);
  });

  it.each(CLEAR_SKY_INDEX)('have the clear-sky index at %d of the minutes within 0.08', (share, measured) => {
    expect(Math.abs(quantile(indices, share) - measured)).toBeLessThan(0.08);
  });

  it('outshine the clear sky by a twentieth as often, within 0.03, and hardly ever by more than 1.45', () => {
    expect(Math.abs(indices.filter(k => k > 1.05).length / indices.length - BRIGHT_SHARE)).toBeLessThan(0.03);
    expect(Math.max(...indices)).toBeGreaterThan(1.2);
    expect(Math.max(...indices)).toBeLessThan(1.45);
  });

  it.each(RAMPS)('change from minute to minute alike: at %d of them within 40 percent', (share, measured) => {
    const ours = quantile(ramps, share);
    expect(Math.abs(ours / measured - 1)).toBeLessThan(0.4);
  });

  it.each(CORRELATIONS)('hang together alike: %d minutes apart within 0.12', (apart, measured) => {
    expect(Math.abs(mean(days.map(day => correlation(day, apart))) - measured)).toBeLessThan(0.12);
  });

  it('are unlike one another', () => {
    const means = days.map(mean);
    expect(Math.max(...means) - Math.min(...means)).toBeGreaterThan(0.1);
  });
});
