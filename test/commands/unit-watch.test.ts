import { describe, expect, it } from 'vitest';
import type { DecodedReading } from '#kit';
import { learnedAsKept, unitsFrom } from '../../agent/commands/run/learned.ts';
import { createUnitWatch, type UnitWatch } from '../../agent/commands/run/unit-watch.ts';

const reading = (batteryVoltageV: number): DecodedReading => ({
  quantities: { batteryVoltageV, stateOfChargePct: 60, inputPowerW: 120 },
  states: {},
  quality: 'good',
  reasons: {},
});

/** The same reading ten times, a second apart; the last one as it is passed on. */
function tell(watch: UnitWatch, volts: number, times: number, fromMs: number): DecodedReading {
  let last = reading(volts);
  for (let i = 0; i < times; i++) last = watch.check(reading(volts), fromMs + i * 1000);
  return last;
}

describe('a station that suddenly tells other units', () => {
  it('is refused at the first such reading, asked about at the third, and taken once its owner says so', () => {
    const watch = createUnitWatch(undefined);
    expect(tell(watch, 26.4, 10, 0)).toEqual(reading(26.4));
    const refused = tell(watch, 264, 1, 10_000);
    expect(refused).toMatchObject({ quantities: { batteryVoltageV: null, inputPowerW: null }, quality: 'bad' });
    expect(watch.asked()).toBeNull();
    tell(watch, 264, 2, 11_000);
    expect(watch.asked()).toMatchObject({ key: 'batteryVoltageV', as: '× 10' });
    watch.confirm();
    expect(watch.asked()).toBeNull();
    expect(tell(watch, 264, 5, 13_000)).toEqual(reading(264));
  });

  it('needs no answer where it was one odd frame, or comes back by itself', () => {
    const watch = createUnitWatch(undefined);
    tell(watch, 26.4, 10, 0);
    tell(watch, 264, 4, 10_000);
    expect(watch.asked()).not.toBeNull();
    expect(tell(watch, 26.4, 1, 14_000)).toEqual(reading(26.4));
    expect(watch.asked()).toBeNull();
  });

  it('is noticed by the next run of the agent too', () => {
    const watch = createUnitWatch(undefined);
    tell(watch, 26.4, 10, 0);
    const next = createUnitWatch(unitsFrom(learnedAsKept('{}', 0, watch.packed())));
    expect(tell(next, 264, 1, 5)).toMatchObject({ quality: 'bad' });
  });

  it('is taken as it is where nothing was kept, or only nonsense', () => {
    for (const kept of [undefined, null, 'x', { batteryVoltageV: 'much' }])
      expect(tell(createUnitWatch(kept), 264, 1, 0)).toEqual(reading(264));
    expect(unitsFrom(null)).toBeUndefined();
  });
});
