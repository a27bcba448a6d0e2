import { spawnSync } from 'node:child_process';
import { mkdtempSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { describe, expect, it } from 'vitest';
import { createShed } from '../../simulators/honey-shed.ts';
import { readIrradiance } from '../../simulators/irradiance-file.ts';
import { createMeasuredSky, type MeasuredRow } from '../../simulators/plant/light/measured-sky.ts';
import { MEASURED_FROM_MS, MEASURED_PLACE, MEASURED_WM2 } from '../reference/broken-day-minutes.ts';
import { RUN } from '../support/simulator.ts';
import { samplesOf } from './shed.ts';

const NOON = Date.parse('2026-06-21T12:00:00Z');
const PLACE = { latitudeDeg: 45, longitudeDeg: 0 };
const row = (minutes: number, globalWm2: number, over: Partial<MeasuredRow> = {}): MeasuredRow => ({
  at: NOON + minutes * 60_000,
  globalWm2,
  beamWm2: null,
  diffuseWm2: null,
  airTempC: null,
  windMs: null,
  ...over,
});

describe('a measured sky', () => {
  it('gives what was measured, straight between its rows', () => {
    const sky = createMeasuredSky([row(0, 400, { airTempC: 10 }), row(2, 600, { airTempC: 12 })], PLACE);
    expect(sky(NOON + 60_000)).toMatchObject({ globalWm2: 500, airTempC: 11 });
  });
  it('splits a total into beam and dome that make it up again, and takes both where they were measured', () => {
    const split = createMeasuredSky([row(0, 700), row(5, 700)], PLACE)(NOON + 60_000);
    expect(split.beamWm2 * split.sun.up + split.diffuseWm2).toBeCloseTo(700, 0);
    const told = { beamWm2: 800, diffuseWm2: 90 };
    expect(createMeasuredSky([row(0, 700, told), row(5, 700, told)], PLACE)(NOON)).toMatchObject(told);
  });
  it('is dark outside what was measured, over a long gap and below the horizon', () => {
    const sky = createMeasuredSky([row(0, 700), row(5, 700), row(60, 700)], PLACE);
    expect(sky(NOON - 60_000).globalWm2).toBe(0);
    expect(sky(NOON + 30 * 60_000).globalWm2).toBe(0);
    expect(sky(NOON + 61 * 60_000).globalWm2).toBe(0);
    const night = createMeasuredSky([row(720, 3), row(725, 3)], PLACE);
    expect(night(NOON + 721 * 60_000).beamWm2).toBe(0);
  });
});

describe('the plant under a measured broken day', () => {
  it('keeps its energy, follows the light and is never brighter than its port', () => {
    const rows = MEASURED_WM2.map((globalWm2, i) => ({ ...row(0, globalWm2), at: MEASURED_FROM_MS + i * 60_000 }));
    const sky = createMeasuredSky(rows, MEASURED_PLACE);
    const begun = { seed: 3, zone: 'UTC', startMs: MEASURED_FROM_MS, startPct: 30, ...MEASURED_PLACE, sky };
    const plant = createShed(begun);
    const storedWh = plant.storedWh();
    const samples = samplesOf(plant, rows.at(-1)!.at, 60_000, 1000);
    const total = plant.ledger.total();
    const astrayWh = total.inputWh - total.outputWh - total.lossWh - (plant.storedWh() - storedWh);
    expect(Math.abs(astrayWh)).toBeLessThan(0.001 * total.inputWh);
    const watts = samples.map(({ q }) => q.solarPowerW as number);
    expect(Math.max(...watts)).toBeLessThanOrEqual(400);
    const mostLight = Math.max(...MEASURED_WM2.slice(60));
    const brightest = MEASURED_WM2.indexOf(mostLight);
    expect(watts[brightest]!).toBeGreaterThan(2 * [...watts].sort((a, b) => a - b)[watts.length >> 1]!);
  });
});

describe('a file of irradiance', () => {
  it('is read with instants either way and cells left empty', () => {
    expect(readIrradiance('time,ghiWm2,airTempC\n2026-06-21T12:00:00Z,500,\n1782043260000,510,21\n')).toEqual([
      row(0, 500),
      row(1, 510, { airTempC: 21 }),
    ]);
  });
  it.each([
    ['time,ghi\n1,2\n', 'line 1: "ghi" is none of'],
    ['time,airTempC\n1,2\n', 'line 1: the columns time and ghiWm2'],
    ['time,ghiWm2\n2026-06-21T12:00:00,5\n', 'line 2: time is'],
    ['time,ghiWm2\n1,5\n2,x\n', 'line 3: ghiWm2 is "x"'],
    ['time,ghiWm2\n2,5\n1,5\n', 'line 3: not after'],
    ['time,ghiWm2\n1,5\n', 'two rows'],
  ])('is refused with its line: %j', (text, said) => {
    expect(readIrradiance(text)).toContain(said);
  });
  it('drives the simulator, and is refused where it does not cover the first instant', () => {
    const file = join(mkdtempSync(join(tmpdir(), 'wattkeep-sky-')), 'sky.csv');
    const rows = Array.from({ length: 180 }, (_, i) => `${NOON + i * 60_000},${i < 60 ? 900 : 0}`);
    writeFileSync(file, ['time,ghiWm2', ...rows, ''].join('\n'));
    const until = new Date(NOON + 120 * 60_000).toISOString();
    const since = new Date(NOON).toISOString();
    const args = [
      RUN,
      '--irradiance',
      file,
      '--lat',
      '45',
      '--lon',
      '0',
      '--zone',
      'UTC',
      '--history',
      '1',
      '--until',
      until,
    ];
    const { stdout } = spawnSync(process.execPath, [...args, '--since', since], { encoding: 'utf8' });
    const rowsOut = stdout
      .trim()
      .split('\n')
      .slice(1)
      .map(line => line.split(','));
    const most = (fromMin: number, toMin: number) =>
      Math.max(
        ...rowsOut
          .filter(([time]) => Date.parse(time!) > NOON + fromMin * 60_000 && Date.parse(time!) <= NOON + toMin * 60_000)
          .map(([, inputW]) => Number(inputW)),
      );
    expect(most(10, 55)).toBeGreaterThan(150);
    expect(most(65, 120)).toBe(0);
    const refused = spawnSync(process.execPath, args, { encoding: 'utf8' });
    expect(refused.status).toBe(2);
    expect(refused.stderr).toContain('it covers 2026-06-21T12:00:00.000Z');
  });
});
