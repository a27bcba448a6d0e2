import { describe, expect, it } from 'vitest';
import { cautionsFor, checkArrangements, plainUnits, type Reason, say, type Units } from '#energy/wiring/index';
import { shedPanel, shedPort, shedWeather } from '../../support/any-panels.ts';
import { gradeOf } from '../../support/reading-level.ts';

const units: Units = {
  volts: v => `<${v} volts>`,
  amps: a => `<${a} amps>`,
  watts: w => `<${w} watts>`,
  tempC: c => `<${c} degrees>`,
  percent: p => `<${p} percent>`,
  percentPerK: p => `<${p} a kelvin>`,
};

/** One of each. */
const REASONS: readonly Reason[] = [
  { code: 'overVoltage', coldMaxV: 90, maxV: 82, coldestC: -15 },
  { code: 'overCurrent', designA: 19.1, maxA: 9 },
  { code: 'overPlug', designA: 19.1, plugA: 10 },
  { code: 'unequalStrings', highV: 45, lowV: 22, limitPct: 5 },
  { code: 'panelUnknown', panel: 'the panel', field: 'openCircuitV' },
  { code: 'portUnknown', port: 'the port', field: 'maxW' },
  { code: 'coldestUnknown' },
  { code: 'noFuseSize', leastA: 14, mostA: 10 },
  { code: 'underVoltage', hotV: 15, minV: 16, hottestC: 40 },
  { code: 'overWatts', offeredW: 500, maxW: 400, lostW: 100 },
  { code: 'overAmpsAllowed', designA: 19.1, maxA: 9, lostW: 80 },
  { code: 'mismatch', inSeries: true, lostW: 30, offeredW: 200 },
  { code: 'nearVoltage', coldMaxV: 81, maxV: 82 },
  { code: 'nearCurrent', designA: 8.9, maxA: 9 },
  { code: 'nearPlug', designA: 9.9, plugA: 10 },
  { code: 'nearStart', hotV: 16.2, minV: 16 },
  { code: 'nearWatts', offeredW: 399, maxW: 400 },
  { code: 'coldVolts', coldV: 75.5, coldMaxV: 79.3, coldestC: -15 },
  { code: 'designCurrent', designA: 6.375, shortCircuitA: 5.1 },
  {
    code: 'stringFuses',
    backFeedA: 12.75,
    ratingA: 10,
    iec62548: true,
    iec60364: false,
    fromA: 7.65,
    toA: 10,
    sizeA: 10,
  },
  { code: 'leadLoss', voltsLost: 0.4, wattsLost: 2, plugA: 10 },
  { code: 'leadUnrated' },
  { code: 'leftOver', panels: 2, lessPct: 33.3 },
  { code: 'byTable', panel: 'the panel', factor: 1.16, coldestC: -15 },
  { code: 'toleranceAssumed', panel: 'the panel', pct: 3, build: 'rigid' },
  { code: 'powerPctAssumed', panel: 'the panel', pctPerK: -0.4 },
  { code: 'hottestAssumed', hottestC: 40 },
];

describe('the words of a verdict', () => {
  it.each(REASONS)('$code is a sentence with its numbers in the units asked for', reason => {
    const text = say(reason, units);
    expect(text).toMatch(/^[A-Z<].*\.$/s);
    expect(text).not.toMatch(/undefined|null|NaN|!/);
    const { code, fromA: _, toA: __, factor: ___, ...numbers } = { fromA: 0, toA: 0, factor: 0, ...reason };
    for (const [name, value] of Object.entries(numbers)) {
      if (typeof value !== 'number' || (code === 'leftOver' && name === 'panels')) continue;
      const shown = code === 'leftOver' ? Math.round(value) : value;
      expect(text).toContain(`<${shown} `);
    }
  });

  it('never write a value beyond a limit as the limit itself', () => {
    expect(say({ code: 'overVoltage', coldMaxV: 82.01, maxV: 82, coldestC: -15 }, plainUnits)).toContain(
      'a little more than 82 V',
    );
    expect(say({ code: 'underVoltage', hotV: 15.99, minV: 16, hottestC: 40 }, plainUnits)).toContain(
      'a little less than 16 V',
    );
  });

  it('never write a value at a limit as beyond it', () => {
    const designA = 1.25 * 9.88;
    expect(designA).toBeGreaterThan(12.35);
    expect(say({ code: 'nearCurrent', designA, maxA: 12.35 }, plainUnits)).toBe(
      'Close: 12.3 A in the brightest sun, and the port is rated 12.3 A.',
    );
  });

  it('ask for no more than eight years of school', () => {
    const texts = [
      ...REASONS.map(reason => say(reason, plainUnits)),
      ...cautionsFor([{ series: 1, parallel: 3 }]).map(({ text }) => text),
    ];
    expect(texts.map(text => [gradeOf(text), text] as const).filter(([grade]) => grade > 8)).toEqual([]);
  });
});

describe('cautions', () => {
  const codes = (count: number) =>
    cautionsFor(checkArrangements([{ ...shedPanel, count }], shedPort, shedWeather)).map(({ code }) => code);

  it('stand beside every verdict and defer to manuals, local code and licensed practice', () => {
    expect(codes(1)).toEqual(['limit', 'cold', 'live', 'order', 'manual']);
    expect(codes(3)).toEqual(['limit', 'cold', 'mixed', 'fuses', 'live', 'order', 'manual']);
    for (const { ground, code } of cautionsFor([{ series: 2, parallel: 2 }]))
      expect([code, ground === null]).toEqual([code, code === 'manual']);
    expect(cautionsFor([]).at(-1)!.text).toMatch(/manuals.*local code.*licensed practice/);
  });
});
