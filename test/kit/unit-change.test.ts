import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  type DecodedReading,
  NO_UNIT_HISTORY,
  packUnitHistory,
  refuseUnits,
  type UnitChange,
  type UnitHistory,
  unpackUnitHistory,
  watchUnits,
} from '#kit';
import { lineSamples } from '../support/stations.ts';

type Values = DecodedReading['quantities'];
const reading = (quantities: Values): DecodedReading => ({ quantities, states: {}, quality: 'good', reasons: {} });

/** Plays readings a second apart; the changes that were noticed, by their place in the list. */
function play(list: readonly Values[], everyMs = 1000, begin: UnitHistory = NO_UNIT_HISTORY) {
  let history = begin;
  const noticed: { i: number; change: UnitChange; sure: boolean }[] = [];
  for (const [i, values] of list.entries()) {
    const watched = watchUnits(history, reading(values), i * everyMs);
    history = watched.history;
    if (watched.change !== null) noticed.push({ i, change: watched.change, sure: watched.sure });
  }
  return { noticed, history };
}

const STEADY: Values = {
  batteryVoltageV: 13.2,
  batteryCurrentA: -10,
  batteryPowerW: -132,
  outputPowerW: 130,
  inputPowerW: 0,
  acVoltageV: 230,
  batteryTempC: 25,
  stateOfChargePct: 64,
  availableEnergyWh: 700,
  outputEnergyWh: 41_200,
};
const before = Array.from({ length: 10 }, () => STEADY);

describe('a change of units', () => {
  it.each<[string, Values, string]>([
    ['tenths of a volt', { batteryVoltageV: 132 }, 'batteryVoltageV × 10'],
    ['hundredths of a volt', { acVoltageV: 2.3 }, 'acVoltageV ÷ 100'],
    ['kilowatt-hours', { availableEnergyWh: 0.7 }, 'availableEnergyWh ÷ 1000'],
    ['kilowatt-hours on a counter', { outputEnergyWh: 41.2 }, 'outputEnergyWh ÷ 1000'],
    ['kilojoules', { availableEnergyWh: 2520 }, 'availableEnergyWh × 3.6'],
    ['a fraction', { stateOfChargePct: 0.64 }, 'stateOfChargePct ÷ 100'],
    ['Fahrenheit', { batteryTempC: 77 }, 'batteryTempC °C → °F'],
    ['kilowatts, seen by volts and amperes', { batteryPowerW: -0.132 }, 'batteryPowerW ÷ 1000'],
    ['tenths of a watt', { batteryPowerW: -1320 }, 'batteryPowerW × 10'],
    ['tenths of an ampere', { batteryCurrentA: -100 }, 'batteryPowerW ÷ 10'],
  ])('to %s is noticed at once, and sure at the third reading', (_, values, words) => {
    const { noticed } = play([...before, ...Array.from({ length: 4 }, () => ({ ...STEADY, ...values }))]);
    expect(noticed.map(({ i }) => i)).toEqual([10, 11, 12, 13]);
    expect(`${noticed[0]!.change.key} ${noticed[0]!.change.as}`).toBe(words);
    expect(noticed.map(({ sure }) => sure)).toEqual([false, false, true, true]);
  });

  it('is still one after an hour of silence where it can be, and stays one until it is confirmed', () => {
    const { history } = play(before);
    const changed = reading({ ...STEADY, batteryVoltageV: 132 });
    const later = watchUnits(history, changed, 3_600_000);
    expect(later.change?.as).toBe('× 10');
    expect(watchUnits(later.history, changed, 9_000_000).change).not.toBeNull();
    expect(watchUnits(NO_UNIT_HISTORY, changed, 9_000_000).change).toBeNull();
  });

  it('is noticed by the next run too, from what was kept of the last one', () => {
    const kept = unpackUnitHistory(JSON.parse(JSON.stringify(packUnitHistory(play(before).history))));
    expect(watchUnits(kept, reading({ ...STEADY, acVoltageV: 23 }), 5).change?.as).toBe('÷ 10');
    expect(watchUnits(kept, reading({ ...STEADY, availableEnergyWh: 70 }), 5).change).toBeNull();
    for (const nonsense of [null, 'x', { a: 1, b: ['1'], c: [Number.NaN] }, []]) {
      expect(unpackUnitHistory(nonsense)).toEqual(NO_UNIT_HISTORY);
    }
  });

  it('is none where one frame was wrong: the next good one is taken', () => {
    const { noticed } = play([...before, { ...STEADY, batteryVoltageV: 132 }, STEADY, STEADY]);
    expect(noticed).toHaveLength(1);
    expect(noticed[0]!.sure).toBe(false);
  });

  it('is none where a kettle goes on, a cloud passes, the battery collapses or an outlet is switched off', () => {
    const after: Values[] = [
      { ...STEADY, outputPowerW: 1300, batteryCurrentA: -103, batteryPowerW: -1320, batteryVoltageV: 12.8 },
      { ...STEADY, inputPowerW: 600, solarPowerW: 600 },
      { ...STEADY, inputPowerW: 6, solarPowerW: 6 },
      { ...STEADY, batteryVoltageV: 9.1, availableEnergyWh: 520, stateOfChargePct: 3 },
      { ...STEADY, stateOfChargePct: 1 },
      { ...STEADY, stateOfChargePct: 0 },
      { ...STEADY, acVoltageV: 0 },
      { ...STEADY, batteryTempC: 31 },
    ];
    for (const values of after) expect(play([...before, values, values, values, values]).noticed).toEqual([]);
  });

  it('is none in a battery that was emptied while nobody listened, or a counter that began again', () => {
    const { history } = play(before);
    expect(watchUnits(history, reading({ ...STEADY, availableEnergyWh: 70 }), 8 * 3_600_000).change).toBeNull();
    expect(watchUnits(history, reading({ ...STEADY, outputEnergyWh: 3 }), 11_000).change).toBeNull();
  });

  it('is none in the honey shed, whatever its load and sky', () => {
    const walk = fc.array(
      fc.record({
        solarW: fc.double({ min: 0, max: 400, noNaN: true }),
        loadW: fc.double({ min: 0, max: 1500, noNaN: true }),
      }),
      { minLength: 20, maxLength: 60 },
    );
    fc.assert(
      fc.property(walk, steps => {
        const list = steps.map(({ solarW, loadW }): Values => {
          const volts = 13.3 - loadW / 1500;
          const watts = solarW - loadW;
          return {
            inputPowerW: solarW,
            outputPowerW: loadW,
            batteryPowerW: watts,
            batteryVoltageV: volts,
            batteryCurrentA: watts / volts,
            solarPowerW: solarW,
            solarVoltageV: solarW === 0 ? 0 : 17,
            solarCurrentA: solarW / 17,
          };
        });
        expect(play(list).noticed).toEqual([]);
      }),
    );
    const shed = lineSamples().map(({ text }) => JSON.parse(text!) as Values);
    expect(play([...shed, ...shed, ...shed]).noticed).toEqual([]);
  });

  it('leaves nothing in the refused reading that could be taken for a value', () => {
    expect(refuseUnits(reading({ batteryVoltageV: 132, inputPowerW: 5 }))).toEqual({
      quantities: { batteryVoltageV: null, inputPowerW: null },
      states: {},
      quality: 'bad',
      reasons: { batteryVoltageV: 'inconsistent', inputPowerW: 'inconsistent' },
    });
  });
});
