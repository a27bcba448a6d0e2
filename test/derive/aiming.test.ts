import { describe, expect, it } from 'vitest';
import type { Quantities, States } from '#kit';
import { createAimPorts } from '../../agent/derive/aim-ports.ts';
import { createAiming, limitOf, standingLight } from '../../agent/derive/aiming.ts';
import { reading } from './readings.ts';

const FACTS = { ceilingPct: 100, solarMaxW: 400 };

describe('what holds the watts back', () => {
  const limit = (quantities: Quantities, states: States = {}, facts = FACTS) => limitOf({ quantities, states }, facts);

  it('is what the station says', () => {
    expect(limit({ solarPowerW: 90, stateOfChargePct: 50 }, { inputLimitedBy: 'cold' })).toBe('cold');
    expect(limit({ solarPowerW: 90, stateOfChargePct: 100 }, { inputLimitedBy: 'nothing' })).toBeNull();
  });

  it('is presumed from the percents where it says nothing', () => {
    expect(limit({ solarPowerW: 90, stateOfChargePct: 96.9 })).toBeNull();
    expect(limit({ solarPowerW: 90, stateOfChargePct: 98 })).toBe('taper');
    expect(limit({ solarPowerW: 90, stateOfChargePct: 100 })).toBe('full');
    expect(limit({ solarPowerW: 90, stateOfChargePct: 79.5 }, {}, { ...FACTS, ceilingPct: 80 })).toBe('owner');
    expect(limit({ solarPowerW: 60, outputPowerW: 59, stateOfChargePct: 100 })).toBe('load');
    expect(limit({ solarPowerW: 60, stateOfChargePct: 40, batteryTempC: -1 }, { inputLimitedBy: 'unknown' })).toBe(
      'cold',
    );
  });

  it('is the port where it takes what it can, whatever is said', () => {
    expect(limit({ solarPowerW: 395, stateOfChargePct: 50 }, { inputLimitedBy: 'nothing' })).toBe('port');
    expect(limit({ solarPowerW: 395, stateOfChargePct: 50 }, {}, { ...FACTS, solarMaxW: 500 })).toBeNull();
  });
});

describe('a station with two ports', () => {
  /** Port 1 falls while it is carried, port 2 stays, and both fall under a cloud. */
  const split = (watts: readonly (readonly [number, number])[]) => {
    const ports = createAimPorts();
    return watts.map(([a, b], i) =>
      ports.split(i * 1000, { solarPowerW: a + b, 'solarPowerW.1': a, 'solarPowerW.2': b }, a + b),
    );
  };
  const steady = (a: number, b: number, count = 60) => Array.from({ length: count }, () => [a, b] as const);

  it('is judged by the first one, with the other for a reference', () => {
    expect(split(steady(200, 100)).at(-1)).toEqual({ powerW: 200, referenceW: 100, inHand: 1 });
  });

  it('is judged by the one whose watts collapse alone', () => {
    const told = split([...steady(200, 100), [200, 10], ...steady(200, 120)]);
    expect(told.at(-1)).toEqual({ powerW: 120, referenceW: 200, inHand: 2 });
  });

  it('keeps them as they are when a cloud takes both down', () => {
    expect(split([...steady(200, 100), [50, 20]]).at(-1)).toEqual({ powerW: 50, referenceW: 20, inHand: 1 });
  });

  it('has no reference while one port is not used', () => {
    expect(split(steady(200, 0)).at(-1)).toEqual({ powerW: 200, referenceW: null, inHand: null });
  });
});

describe('readings for the judge', () => {
  const at = (s: number, solarPowerW: number | null, states: States = {}) =>
    reading({
      at: 1_780_000_000_000 + s * 1000,
      states,
      quantities: { solarPowerW, inputPowerW: solarPowerW, stateOfChargePct: 50 },
    });
  const minute = (from: number, watts: number) => Array.from({ length: 60 }, (_, s) => at(from + s, watts + (s % 2)));

  it('make a plateau whose mean is theirs', () => {
    const aiming = createAiming({ ratedW: 270, powerPerK: null });
    for (const one of minute(0, 180)) aiming.add(one, FACTS, null);
    expect(aiming.judge().measure(at(60, 180).at)?.meanW).toBeCloseTo(180.5, 0);
    expect(aiming.sinceMs()).toBe(at(0, 0).at);
    expect([aiming.reference(), aiming.limit()]).toEqual([null, null]);
  });

  it('tell what they were held against', () => {
    const aiming = createAiming({ ratedW: 270, powerPerK: null });
    aiming.add(at(0, 180, { inputLimitedBy: 'port' }), FACTS, 90);
    expect([aiming.reference(), aiming.limit()]).toEqual(['station', 'port']);
  });

  it('begin anew where other panels are plugged in', () => {
    const aiming = createAiming({ ratedW: 270, powerPerK: null });
    for (const one of minute(0, 180)) aiming.add(one, FACTS, null);
    aiming.setFacts({ ratedW: 360, powerPerK: null });
    expect(aiming.judge().measure(at(60, 0).at)).toBeNull();
    expect(aiming.sinceMs()).toBeNull();
  });
});

describe('the light that marks are held against', () => {
  const place = { latitudeDeg: -34.6, longitudeDeg: 0 };
  const noon = Date.UTC(2026, 0, 10, 12);

  it('falls on the plane where all of it is known, else on level ground', () => {
    const known = standingLight(place, [{ ratedW: 90, tiltDeg: 26, azimuthDeg: 0 }], null)!;
    const partly = standingLight(place, [{ ratedW: 90, tiltDeg: 26 }], null)!;
    const flat = standingLight(place, [{ ratedW: 90, tiltDeg: 0 }], null)!;
    expect([known.of, partly.of, flat.of]).toEqual(['plane', 'level', 'plane']);
    expect(partly.wm2(noon)).toBeCloseTo(flat.wm2(noon)!, 6);
    expect(standingLight(null, [], { tiltDeg: 26, azimuthDeg: 0 })).toBeNull();
  });

  it('falls on the plane of the spot where it has one, whatever the settings say', () => {
    const spot = standingLight(place, [{ ratedW: 90, tiltDeg: 0 }], { tiltDeg: 60, azimuthDeg: 90 })!;
    const without = standingLight(place, [], { tiltDeg: 60, azimuthDeg: 90 })!;
    const same = standingLight(place, [{ ratedW: 90, tiltDeg: 60, azimuthDeg: 90 }], null)!;
    expect(spot.wm2(noon)).toBeCloseTo(same.wm2(noon)!, 9);
    expect([without.of, without.wm2(noon)]).toEqual(['plane', expect.closeTo(same.wm2(noon)!, 9)]);
  });
});
