import { describe, expect, it } from 'vitest';
import type { Quantities } from '#kit';
import { createUnchanged } from '../../agent/derive/unchanged.ts';
import { createShed } from '../../simulators/honey-shed.ts';
import { modbusLine } from '../support/modbus-line.ts';

const MINUTE_MS = 60_000;
const FIVE_MIN_MS = 5 * MINUTE_MS;
const DAY: Quantities = { solarPowerW: 181, acOutputPowerW: 62.5, stateOfChargePct: 71, batteryVoltageV: 52.31 };

function stage() {
  const unchanged = createUnchanged();
  let monoMs = 0;
  let session = 'a';
  const take = (quantities: Quantities, typed = false) => {
    unchanged.take({ session, quantities, states: {}, ...(typed ? { typed } : {}) }, monoMs);
    return unchanged.forMs();
  };
  return {
    take,
    /** The same once a second; what is said at the end. */
    hold(quantities: Quantities, forMs: number, typed = false) {
      for (let ms = 0; ms < forMs; ms += 1000) {
        monoMs += 1000;
        take(quantities, typed);
      }
      return unchanged.forMs();
    },
    pass(ms: number) {
      monoMs += ms;
    },
    replug() {
      session += 'b';
    },
  };
}

describe('values that stand still while readings keep coming', () => {
  it('may be frozen once none changed by a digit for five minutes, until the first that changes', () => {
    const station = stage();
    expect(station.hold(DAY, FIVE_MIN_MS)).toBeNull();
    expect(station.hold(DAY, 1000)).toBe(FIVE_MIN_MS);
    expect(station.hold(DAY, MINUTE_MS)).toBe(FIVE_MIN_MS + MINUTE_MS);
    expect(station.take({ ...DAY, batteryVoltageV: 52.32 })).toBeNull();
  });

  it('are watched anew after a pause, on a new connection and where a quantity comes or goes', () => {
    const station = stage();
    station.hold(DAY, FIVE_MIN_MS);
    station.pass(MINUTE_MS + 1);
    expect(station.hold(DAY, FIVE_MIN_MS)).toBeNull();
    station.replug();
    expect(station.hold(DAY, FIVE_MIN_MS)).toBeNull();
    expect(station.hold({ ...DAY, batteryTempC: 21 }, FIVE_MIN_MS)).toBeNull();
    expect(station.hold({ ...DAY, batteryTempC: null }, FIVE_MIN_MS)).toBeNull();
  });

  it.each([
    ['nothing in and nothing out', { solarPowerW: 0, acOutputPowerW: 0, batteryPowerW: -9, batteryVoltageV: 52.3 }],
    ['hardly anything out', { inputPowerW: 0, outputPowerW: 3 }],
    ['no power told at all', { stateOfChargePct: 71, batteryVoltageV: 52.3, batteryTempC: 20 }],
    ['every power missing', { inputPowerW: null, outputPowerW: null, stateOfChargePct: 71 }],
  ])('at rest are not frozen: %s', (_, quantities) => {
    expect(stage().hold(quantities, 60 * MINUTE_MS)).toBeNull();
  });

  it('of a battery that tells no ports are judged by the battery', () => {
    expect(stage().hold({ batteryPowerW: -86.2, batteryVoltageV: 52.31 }, FIVE_MIN_MS + 1000)).toBe(FIVE_MIN_MS);
  });

  it('that the owner typed are never frozen', () => {
    expect(stage().hold(DAY, 60 * MINUTE_MS, true)).toBeNull();
  });

  it('of a station that stood still as long before and moved again are told later, an hour at most', () => {
    const station = stage();
    const coarse = { inputPowerW: 0, outputPowerW: 8, stateOfChargePct: 71 };
    expect(station.hold(coarse, 20 * MINUTE_MS)).not.toBeNull();
    expect(station.hold({ ...coarse, stateOfChargePct: 70 }, 19 * MINUTE_MS)).toBeNull();
    expect(station.hold({ ...coarse, stateOfChargePct: 70 }, 2 * MINUTE_MS)).not.toBeNull();
    station.hold({ ...coarse, stateOfChargePct: 69 }, 300 * MINUTE_MS);
    expect(station.hold(DAY, 60 * MINUTE_MS)).toBeNull();
    expect(station.hold(DAY, 1000)).not.toBeNull();
  });

  it('are never told of a simulated shed through a day and a night', () => {
    const startMs = Date.UTC(2026, 5, 21, 4);
    const plant = createShed({ latitudeDeg: 34.6, longitudeDeg: 0, seed: 5, zone: 'UTC', startMs, startPct: 64 });
    const unchanged = createUnchanged();
    const told: string[] = [];
    for (let monoMs = 0; monoMs < 24 * 60 * MINUTE_MS; monoMs += 5000) {
      plant.step(startMs + monoMs);
      const { quantities, states } = plant.sample();
      unchanged.take({ session: 'a', quantities, states }, monoMs);
      if (unchanged.forMs() !== null) told.push(`${monoMs} ${JSON.stringify(quantities)}`);
    }
    expect(told).toEqual([]);
  });

  it('of a SunSpec device that froze are told in five minutes, and no more once it moves', () => {
    const line = modbusLine();
    const unchanged = createUnchanged();
    let taken = 0;
    const live = (ms: number) => {
      line.clock.advance(ms);
      for (const { at, reading } of line.readings.slice(taken)) unchanged.take({ session: 'a', ...reading }, at);
      taken = line.readings.length;
      return unchanged.forMs();
    };
    expect(live(10 * MINUTE_MS)).toBeNull();
    line.device.freeze(true);
    expect(live(4 * MINUTE_MS)).toBeNull();
    expect(live(90_000)).toBeGreaterThanOrEqual(FIVE_MIN_MS);
    line.device.freeze(false);
    expect(live(20_000)).toBeNull();
  });
});
