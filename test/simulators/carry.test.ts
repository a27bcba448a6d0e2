import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it, onTestFinished } from 'vitest';
import { createShed } from '../../simulators/honey-shed.ts';
import { describeSpots, SHED_SPOTS, type SpotId, shedSpot, shedStays } from '../../simulators/honey-shed-spots.ts';
import { createShade } from '../../simulators/plant/light/shade.ts';
import { createSun } from '../../simulators/plant/sun.ts';
import { clearSkyFile } from '../support/clear-sky-file.ts';
import { startSimulator } from '../support/simulator.ts';
import { HOUR_MS } from './shed.ts';

const PLACE = { latitudeDeg: 34.6, longitudeDeg: 0 };
const MIDNIGHT = Date.UTC(2026, 5, 21);
const clearSky = (ms: number) => {
  const sun = createSun(PLACE)(ms);
  const up = Math.max(0, sun.up);
  const beamWm2 = up > 0 ? 850 * up ** 0.2 : 0;
  return {
    sun,
    beamWm2,
    diffuseWm2: 90 * up,
    globalWm2: beamWm2 * up + 90 * up,
    airTempC: 22,
    windMs: 1.5,
    clearGlobalWm2: 0,
  };
};

/** The shed under a cloudless sky, lived in seconds from a while before an hour of the day. */
function shedAt(hour: number, spot: SpotId) {
  const startMs = MIDNIGHT + hour * HOUR_MS - 600_000;
  const plant = createShed({ ...PLACE, seed: 5, zone: 'UTC', startMs, startPct: 30, spot, sky: clearSky });
  plant.step(startMs + 600_000);
  return plant;
}
const watts = (plant: ReturnType<typeof shedAt>) => plant.sample().quantities.solarPowerW!;
const wattsAt = (hour: number, spot: SpotId) => watts(shedAt(hour, spot));

describe('the spots of the yard', () => {
  it('stand in the same order towards the sun in both hemispheres', () => {
    const [north, south] = [describeSpots({ latitudeDeg: 40 }), describeSpots({ latitudeDeg: -40 })];
    expect(north.map(spot => spot.azimuthDeg)).toEqual([176, 218, 148]);
    expect(south.map(spot => spot.azimuthDeg)).toEqual([4, 322, 32]);
    expect(north.map(spot => spot.name)).toEqual(['step', 'fence', 'hive stand']);
  });

  it('each have hours that are theirs: the hive stand the morning, the fence the evening', () => {
    expect(wattsAt(8, 'hive-stand')).toBeGreaterThan(1.5 * wattsAt(8, 'fence'));
    expect(wattsAt(16, 'fence')).toBeGreaterThan(1.5 * wattsAt(16, 'hive-stand'));
    const noon = SHED_SPOTS.map(({ id }) => wattsAt(12, id));
    expect(Math.min(...noon)).toBeGreaterThan(0.85 * Math.max(...noon));
  });

  it('are stood at in turns, from local midnights on, and the first of them last', () => {
    const stays = shedStays(MIDNIGHT, () => 2 * HOUR_MS);
    expect(new Set(stays.map(stay => stay.spot))).toEqual(new Set(SHED_SPOTS.map(({ id }) => id)));
    expect(stays.map(({ fromMs }) => (fromMs - MIDNIGHT) / HOUR_MS)).toEqual(
      [3, 6, 9, 12, 15, 18].map(d => 24 * d - 2),
    );
    expect(stays.at(-1)!.spot).toBe('step');
  });

  it('hide some of the sky with what stands there', () => {
    for (const { id } of SHED_SPOTS) {
      const { domeShare } = createShade(shedSpot(PLACE, id).shade, 1);
      expect([id, domeShare > 0.6, domeShare < 1]).toEqual([id, true, true]);
    }
  });
});

describe('panels that are carried', () => {
  const lived = (seconds: number, plant: ReturnType<typeof shedAt>) =>
    Array.from({ length: seconds }, () => {
      plant.step(plant.nowMs() + 1000);
      return watts(plant);
    });

  it('give little on the way, and in the end what they give at the new spot', () => {
    const plant = shedAt(9, 'fence');
    const before = watts(plant);
    plant.carry(shedSpot(PLACE, 'hive-stand'));
    const course = lived(90, plant);
    expect(Math.min(...course.slice(3, 14))).toBeLessThan(0.45 * before);
    const settled = wattsAt(9, 'hive-stand');
    expect(course.slice(-20).reduce((a, b) => a + b, 0) / 20).toBeGreaterThan(0.9 * settled);
    // It wobbles: more than one turn up and one down.
    const turns = course.slice(1, 16).filter((w, i) => (w - course[i]!) * (course[i + 2]! - w) < 0);
    expect(turns.length).toBeGreaterThan(2);
  });

  it('are as they were before once they are back', () => {
    const [still, moved] = [shedAt(11, 'step'), shedAt(11, 'step')];
    moved.carry(shedSpot(PLACE, 'fence'));
    lived(60, moved);
    moved.carry(shedSpot(PLACE, 'step'));
    lived(1800, moved);
    lived(1860, still);
    expect(watts(moved) / watts(still)).toBeCloseTo(1, 1);
  });

  it('are carried by a command, and by a file that names another spot', async () => {
    const dir = mkdtempSync(join(tmpdir(), 'carry-'));
    const file = join(dir, 'spot');
    writeFileSync(file, 'hive-stand\n');
    const atMs = MIDNIGHT + 8 * HOUR_MS;
    const sky = join(dir, 'sky.csv');
    clearSkyFile(sky, PLACE, atMs);
    const simulator = startSimulator([
      ...['--tcp', '0', '--zone', 'UTC', '--lat', '34.6', '--lon', '0', '--start-pct', '30', '--at', `${atMs}`],
      ...['--spot-file', file, '--irradiance', sky],
    ]);
    onTestFinished(async () => {
      await simulator.stop();
      rmSync(dir, { recursive: true, force: true });
    });
    await simulator.ready;
    const now = async () => {
      const { quantities } = (await simulator.ask('now')) as { quantities: { solarPowerW: number } };
      return quantities.solarPowerW;
    };
    await expect.poll(now, { timeout: 30_000, interval: 300 }).toBeGreaterThan(60);
    const before = await now();
    writeFileSync(file, 'the moon\n');
    writeFileSync(file, 'fence\n');
    await expect.poll(now, { timeout: 30_000, interval: 300 }).toBeLessThan(0.4 * before);
    expect(await simulator.ask('spot moon')).toHaveProperty('refused');
    expect(await simulator.ask('spot hive-stand')).toEqual({ command: 'spot', spot: 'hive-stand' });
    await expect.poll(now, { timeout: 60_000, interval: 300 }).toBeGreaterThan(0.8 * before);
  });
});
