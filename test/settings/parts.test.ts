import * as v from 'valibot';
import { describe, expect, it } from 'vitest';
import { StationSettings } from '#messages';
import { readBy, sourcesOf, typedLack } from '../../agent/commands/run/sources.ts';
import { lines } from '../../protocol-adapters/lines/index.ts';
import { sunspecModbus } from '../../protocol-adapters/sunspec-modbus/index.ts';

const METER = {
  name: 'panel meter',
  transport: { kind: 'tcp', host: '192.168.1.7', port: 7000 },
  gives: ['solarPowerW'],
};
const PLUG = {
  name: 'plug meter',
  adapter: 'sunspec-modbus',
  transport: { kind: 'serial', path: '/dev/ttyUSB0' },
  gives: ['outputPowerW', 'outputEnergyWh'],
};
const SCREEN = { name: 'screen', transport: { kind: 'typed' }, gives: ['stateOfChargePct'] };

const settings = (part: unknown[]) =>
  v.safeParse(StationSettings, { id: 'shed', name: 'Honey shed', transport: { kind: 'parts', part } });

describe('a station of parts in the settings', () => {
  it('has an adapter, a link and what it gives for each part', () => {
    const { success, output } = settings([METER, PLUG, SCREEN]);
    expect(success).toBe(true);
    const station = output as StationSettings;
    expect(sourcesOf(station)).toMatchObject([
      { adapter: 'lines', below: '.transport.part.0' },
      { adapter: 'sunspec-modbus', below: '.transport.part.1' },
    ]);
    expect(typedLack(station, { stateOfChargePct: 71 })).toBeNull();
    expect(typedLack(station, { stateOfChargePct: 71, outputPowerW: 3 })?.what).toBe(
      'has no typed part that gives outputPowerW',
    );
    expect(readBy(station, [lines.manifest, sunspecModbus.manifest])).toEqual({
      intervalMs: 1000,
      gives: ['solarPowerW', 'outputPowerW', 'outputEnergyWh', 'stateOfChargePct'],
      // Of the one part that counts.
      counterSteps: 2 ** 32,
    });
  });

  it('knows how far its counters go only where all parts that count are known to go as far', () => {
    const parts = settings([{ ...METER, gives: ['solarEnergyWh'] }, PLUG]).output as StationSettings;
    expect(readBy(parts, [lines.manifest, sunspecModbus.manifest]).counterSteps).toBeNull();
  });

  it.each([
    ['one part alone', [METER], 'two parts at least'],
    ['two parts of one name', [METER, { ...PLUG, name: 'panel meter' }], 'a name of its own for each part'],
    ['two parts for one quantity', [METER, { ...PLUG, gives: ['solarPowerW'] }], 'each quantity from one part only'],
    ['a part that gives nothing', [METER, { ...PLUG, gives: [] }], 'at least one'],
  ])('is refused with %s', (_, part, message) => {
    const { issues } = settings(part);
    expect(issues?.map(issue => issue.message)).toContain(message);
  });

  it('is refused with a part made of parts, or of an unknown quantity', () => {
    expect(settings([METER, { ...PLUG, transport: { kind: 'parts', part: [METER, SCREEN] } }]).success).toBe(false);
    expect(settings([METER, { ...PLUG, gives: ['watts'] }]).success).toBe(false);
  });
});
