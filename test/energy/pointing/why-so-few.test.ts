import { describe, expect, it } from 'vitest';
import type { ExpectedBand } from '#energy/estimates/pointing/asked';
import type { Observed, Wired } from '#energy/estimates/pointing/few-asked';
import { wiringsOf } from '#energy/estimates/pointing/panel-volts';
import { whySoFew } from '#energy/estimates/pointing/why-so-few';

/** Three panels of 90 W, 18.6 V and 22.4 V each, into a port of 12 to 80 V. */
const WIRED: Wired = {
  count: 3,
  ratedW: 270,
  maxPowerV: 18.6,
  openCircuitV: 22.4,
  maxPowerA: 4.84,
  powerPerK: -0.004,
  openCircuitPerK: -0.0031,
  port: { minV: 12, maxV: 80, maxA: 15, maxW: 400 },
  lead: { lengthM: 3, conductorMm2: 4 },
  ceilingPct: 100,
  idleW: 12,
};
const BAND: ExpectedBand = {
  lowW: 185,
  middleW: 200,
  highW: 215,
  offeredW: 200,
  planeWm2: 900,
  cellTempC: 50,
  spreads: [
    { of: 'air', pct: 5 },
    { of: 'label', pct: 5 },
    { of: 'dirt', pct: 3 },
  ],
};
/** A station that tells nothing but its watts. */
const MUTE: Observed = {
  gotW: 120,
  outputW: null,
  stateOfChargePct: null,
  batteryTempC: null,
  solarVoltageV: null,
  solarCurrentA: null,
  limitedBy: null,
  airTempC: null,
  planeOfArrayWm2: null,
  sky: 'unknown',
};
const why = (observed: Partial<Observed>, wired: Partial<Wired> = {}, band: ExpectedBand | null = BAND) =>
  whySoFew({ ...MUTE, ...observed }, band, { ...WIRED, ...wired });
const first = (...asked: Parameters<typeof why>) => why(...asked)[0] ?? { cause: null, likely: false, explainsW: null };

describe('why so few watts', () => {
  it('says nothing where as much comes in as is expected, or too little light is there to judge', () => {
    expect(why({ gotW: 190 })).toEqual([]);
    expect(why({ gotW: 230 })).toEqual([]);
    expect(why({ gotW: 0 }, {}, { ...BAND, lowW: 1, middleW: 2, offeredW: 2, planeWm2: 8 })).toEqual([]);
  });

  it('gives a list and no certainty where the station tells only its watts', () => {
    const causes = why({});
    expect(causes.length).toBeGreaterThanOrEqual(3);
    expect(causes.every(({ likely }) => !likely)).toBe(true);
    for (const { explainsW } of causes) {
      expect(explainsW).toBeGreaterThanOrEqual(0);
      expect(explainsW).toBeLessThanOrEqual(80.001);
    }
  });

  it.each(['full', 'port', 'cold', 'owner'] as const)('takes the station at its word: %s', limitedBy => {
    const { cause, likely } = first({ limitedBy, gotW: 40, stateOfChargePct: limitedBy === 'full' ? 100 : 50 });
    expect([cause, likely]).toEqual([limitedBy, true]);
  });

  it('says so even where the watts are within the band, and where nothing is known of place and panels', () => {
    expect(first({ limitedBy: 'full', gotW: 195, stateOfChargePct: 95 }).cause).toBe('taper');
    expect(why({ limitedBy: 'cold' }, {}, null)).toEqual([{ cause: 'cold', likely: true, explainsW: null }]);
    expect(why({ limitedBy: 'full', stateOfChargePct: 93 }, {}, null)[0]!.cause).toBe('taper');
    expect(why({}, {}, null)).toEqual([]);
  });

  it("knows the owner's own ceiling by the charge", () => {
    expect(first({ stateOfChargePct: 80, gotW: 20, outputW: 8, solarVoltageV: 63 }, { ceilingPct: 80 })).toMatchObject({
      cause: 'owner',
      likely: true,
    });
  });

  it('knows a cold battery by its warmth, and does not where it is warm', () => {
    const held = { gotW: 22, outputW: 9, stateOfChargePct: 50, solarVoltageV: 63 };
    expect(first({ ...held, batteryTempC: -4 })).toMatchObject({ cause: 'cold', likely: true });
    expect(first({ ...held, batteryTempC: 18 })).toMatchObject({ cause: 'load', likely: true });
    // Not knowing how warm it is, it is not sure.
    expect(first(held).likely).toBe(false);
  });

  it('knows the line of the port in watts and in amps, and volts above it', () => {
    const clipped = { ...BAND, lowW: 120, middleW: 120, highW: 120 };
    expect(first({ gotW: 119.5 }, { port: { ...WIRED.port, maxW: 120 } }, clipped)).toMatchObject({
      cause: 'port',
      explainsW: 80.5,
    });
    const amps = { gotW: 120, solarVoltageV: 60, solarCurrentA: 2 };
    expect(first(amps, { port: { ...WIRED.port, maxA: 2 } }).cause).toBe('port');
    for (const limitedBy of [null, 'nothing', 'port'] as const)
      expect(first({ gotW: 0, solarVoltageV: 66, limitedBy }, { port: { ...WIRED.port, maxV: 60 } })).toMatchObject({
        cause: 'port',
        likely: true,
      });
  });

  it('sees a panel stepped over by its diode in the volts: a third of three in series, half of one', () => {
    // Three hot panels have about 49 V together.
    expect(first({ gotW: 133, solarVoltageV: 32.4, sky: 'steady' })).toMatchObject({
      cause: 'panelShaded',
      likely: true,
    });
    expect(first({ gotW: 167, solarVoltageV: 40.8, sky: 'steady' }).cause).toBe('panelShaded');
  });

  it('sees a string of two missing where the volts stayed and half came in', () => {
    const two = { count: 2, ratedW: 180, port: { ...WIRED.port, maxV: 30 } };
    const missing = { gotW: 99, solarVoltageV: 16.4, sky: 'steady' } as const;
    expect(first(missing, two)).toMatchObject({ cause: 'stringMissing', likely: true });
    // A sensor beside the panels that has the sun as expected leaves no doubt; one in the shade of a cloud tells why.
    expect(first({ ...missing, planeOfArrayWm2: 890 }, two)).toMatchObject({ cause: 'stringMissing', likely: true });
    expect(first({ ...missing, solarVoltageV: 17.3, planeOfArrayWm2: 440 }, two)).toMatchObject({
      cause: 'cloud',
      likely: true,
    });
  });

  it('puts clouds first while the light comes and goes, and is sure of them where the volts are those of cool panels', () => {
    expect(first({ gotW: 70, sky: 'unsteady' }).cause).toBe('cloud');
    expect(first({ gotW: 70, sky: 'unsteady', solarVoltageV: 52.5, stateOfChargePct: 50 })).toMatchObject({
      cause: 'cloud',
      likely: true,
    });
  });

  it('sees volts below the window, and a plug that is out', () => {
    const wide = { port: { ...WIRED.port, minV: 60, maxV: 100 } };
    expect(first({ gotW: 0, solarVoltageV: 42 }, wide)).toMatchObject({ cause: 'lowVoltage', likely: true });
    expect(first({ gotW: 0, solarVoltageV: 0.2 }, wide)).toMatchObject({ cause: 'stringMissing', likely: true });
    const both = why({ gotW: 0 }, wide).map(({ cause }) => cause);
    expect(both).toEqual(expect.arrayContaining(['lowVoltage', 'stringMissing']));
  });

  it('reckons with the lead that was told', () => {
    const two = { count: 3, port: { ...WIRED.port, maxV: 30 }, lead: { lengthM: 20, conductorMm2: 2.5 } };
    // 13 A through 0.31 Ω: 4 of 16.5 V.
    const causes = why({ gotW: 158, solarVoltageV: 12.7, sky: 'steady' }, two);
    expect(causes[0]).toMatchObject({ cause: 'lead' });
    expect(causes[0]!.explainsW!).toBeGreaterThan(35);
    expect(first({ gotW: 152, sky: 'steady' }, { ...two, lead: { lengthM: 2, conductorMm2: 6 } }).cause).not.toBe(
      'lead',
    );
  });

  it('calls neither heat nor dirt likely: nothing that a station tells is proof of them', () => {
    for (const gotW of [150, 165, 175, 180])
      for (const solarVoltageV of [44, 46, 48, 50])
        for (const { cause, likely } of why({ gotW, solarVoltageV, sky: 'steady', airTempC: 34 }))
          if (cause === 'heat' || cause === 'dirt')
            expect([gotW, solarVoltageV, likely]).toEqual([gotW, solarVoltageV, false]);
    const named = new Set([165, 175, 180].flatMap(gotW => why({ gotW, sky: 'steady' }).map(({ cause }) => cause)));
    expect(named.has('dirt')).toBe(true);
    expect(named.has('heat')).toBe(true);
  });
});

describe('ways panels may be wired', () => {
  it('are those the port bears, or all where it seems to bear none', () => {
    expect(wiringsOf(WIRED)).toEqual([
      { series: 1, parallel: 3 },
      { series: 3, parallel: 1 },
    ]);
    expect(wiringsOf({ ...WIRED, port: { ...WIRED.port, maxV: 30 } })).toEqual([{ series: 1, parallel: 3 }]);
    expect(wiringsOf({ ...WIRED, port: { ...WIRED.port, minV: 30 } })).toEqual([{ series: 3, parallel: 1 }]);
    expect(wiringsOf({ ...WIRED, port: { ...WIRED.port, maxV: 10 } })).toHaveLength(2);
    expect(wiringsOf({ ...WIRED, count: null })).toEqual([]);
  });
});
