import { describe, expect, it } from 'vitest';
import { createRequestCheck, manifestFault } from '#kit';
import { builtInAdapters } from '../../protocol-adapters/index.ts';
import { sunspecModbus, sunspecTcp } from '../../protocol-adapters/sunspec-modbus/index.ts';
import { modbusLine } from '../support/modbus-line.ts';

describe.each(['rtu', 'tcp'] as const)('a SunSpec device over %s', framing => {
  it.each([
    ['1 at 40000', { unit: 1, base: 40_000 }],
    ['126 at 0', { unit: 126, base: 0 }],
    ['3 at 50000', { unit: 3, base: 50_000 }],
  ])('is found as unit %s and read every two seconds', (_, place) => {
    const { clock, readings, rejected } = modbusLine({ framing, ...place });
    clock.advance(30_000);
    expect(readings.length).toBeGreaterThan(10);
    const gaps = readings.slice(1).map(({ at }, i) => at - readings[i]!.at);
    for (const gap of gaps.slice(3)) expect(gap).toBeCloseTo(2000, -1.4);
    expect(Object.keys(rejected).filter(cause => cause !== 'unanswered')).toEqual([]);
  });

  it('tells what the plant shows, with the newer models', () => {
    const line = modbusLine({ framing });
    line.clock.advance(20_000);
    const { quantities, states, quality, reasons } = line.last()!;
    const shown = line.plant.sample().quantities;
    expect(quantities['solarPowerW.1']).toBeCloseTo(shown.solarPowerW!, 0);
    expect(quantities.solarPowerW).toBe(quantities['solarPowerW.1']);
    expect(quantities.acOutputPowerW).toBeCloseTo(shown.acOutputPowerW!, 0);
    expect(quantities.dcOutputPowerW).toBeCloseTo(shown.dcOutputPowerW!, 0);
    expect(quantities.outputPowerW).toBeCloseTo(shown.outputPowerW!, 0);
    expect(quantities.inputPowerW).toBeCloseTo(shown.inputPowerW!, 0);
    expect(quantities.stateOfChargePct).toBe(shown.stateOfChargePct);
    expect(quantities.stateOfHealthPct).toBe(98);
    expect(quantities.batteryVoltageV).toBeCloseTo(shown.batteryVoltageV!, 1);
    expect(quantities.batteryCurrentA).toBeCloseTo(shown.batteryCurrentA!, 0);
    expect(quantities).toMatchObject({ acVoltageV: 230, acFrequencyHz: 50, chargerPowerW: 0 });
    expect(states).toEqual({ inputSource: 'sun' });
    expect(quality).toBe('good');
    expect(reasons).toEqual({});
  });

  it('tells the same of an older device, whose battery counts the other way', () => {
    const line = modbusLine({ framing, make: '103' });
    line.clock.advance(20_000);
    const { quantities, states } = line.last()!;
    const shown = line.plant.sample().quantities;
    expect(quantities['solarPowerW.1']).toBeCloseTo(shown.solarPowerW!, 0);
    expect(quantities.acOutputPowerW).toBeCloseTo(shown.acOutputPowerW!, 0);
    expect(quantities.stateOfChargePct).toBe(shown.stateOfChargePct);
    expect(Math.sign(quantities.batteryCurrentA!)).toBe(Math.sign(shown.batteryCurrentA!));
    expect(quantities.batteryCurrentA).toBeCloseTo(shown.batteryCurrentA!, 0);
    expect(states).toEqual({ inputSource: 'sun' });
  });

  it('tells the wall apart from the sun', () => {
    const line = modbusLine({ framing, mains: true, startPct: 30 });
    line.clock.advance(20_000);
    const { quantities, states } = line.last()!;
    expect(quantities.chargerPowerW).toBeCloseTo(line.plant.sample().quantities.chargerPowerW!, 0);
    expect(quantities.chargerPowerW).toBeGreaterThan(100);
    expect(states.inputSource).toBe('unknown');
  });

  it('asks nothing but reads of holding registers, at most 125 at once', () => {
    const { clock, asked } = modbusLine({ framing });
    clock.advance(60_000);
    const allowed = createRequestCheck((framing === 'rtu' ? sunspecModbus : sunspecTcp).manifest.requests);
    expect(asked.length).toBeGreaterThan(100);
    for (const { bytes } of asked) {
      expect(allowed(bytes, '')).toBe(true);
      const count = framing === 'rtu' ? bytes[5]! : bytes[11]!;
      expect(count).toBeLessThanOrEqual(125);
    }
  });
});

describe('the SunSpec adapters', () => {
  it('are among the built-ins and keep to the contract', () => {
    for (const adapter of [sunspecModbus, sunspecTcp]) {
      expect(builtInAdapters).toContain(adapter);
      expect(manifestFault({ ...adapter.manifest })).toBeNull();
    }
  });

  it('read a device of four models within a second of a line of 9600 baud, and leave it alone in between', () => {
    const { clock, asked } = modbusLine({ baud: 9600 });
    clock.advance(20_000);
    const round = asked.filter(({ at }) => at >= 18_000 && at < 20_000);
    expect(round.length).toBe(4);
    const tookMs = round.at(-1)!.at - round[0]!.at;
    expect(tookMs).toBeLessThan(1000);
  });

  it('keep a silence before each question on a serial line', () => {
    const { clock, asked } = modbusLine({ baud: 9600 });
    clock.advance(5000);
    for (const [i, { at }] of asked.entries()) if (i > 0) expect(at - asked[i - 1]!.at).toBeGreaterThan(20);
  });

  it.each([1200, 2400, 4800])('are patient enough for a line of %d baud', baud => {
    const { clock, readings } = modbusLine({ baud });
    clock.advance(120_000);
    expect(readings.length).toBeGreaterThan(8);
  });
});
