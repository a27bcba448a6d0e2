import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { COLD_TABLE, coefficientFactor, coldFactor, tableFactor } from '#energy/laws/cold-voltage';
import { leadLoss, leadOhm } from '#energy/laws/lead';
import { CONTINUOUS, designCurrentA, fuseRules } from '#energy/laws/string-fuse';
import { inParallel, inSeries } from '#energy/wiring/mismatch';
import { COLD_STRINGS, COLD_TABLE_ROWS, FUSES, UNLIKE_PANELS } from '../../reference/wiring.ts';

const temperature = fc.double({ min: -80, max: 60, noNaN: true });

describe('cold volts', () => {
  it('has every row of the code table', () => {
    expect(COLD_TABLE_ROWS).toHaveLength(13);
    expect(COLD_TABLE).toHaveLength(13);
    expect(COLD_STRINGS).toHaveLength(8);
  });

  it.each(COLD_TABLE_ROWS)('take the factor of the row %i to %i °C', (fromC, toC, factor) => {
    for (let c = fromC; c <= toC; c++) expect(tableFactor(c)).toBe(factor);
  });

  it('take the colder row between two whole degrees', () => {
    expect(tableFactor(-10.1)).toBe(1.16);
    expect(tableFactor(24.9)).toBe(1.02);
    expect(tableFactor(-0.5)).toBe(1.12);
  });

  it('go on rising below the table and never fall under the label above it', () => {
    expect(tableFactor(-40.5)).toBeCloseTo(1.27, 12);
    expect(tableFactor(-46)).toBeCloseTo(1.29, 12);
    expect(tableFactor(25)).toBe(1);
    expect(tableFactor(40)).toBe(1);
    expect(coefficientFactor(-0.3, 40)).toBe(1);
  });

  it.each(COLD_STRINGS)(
    'of %f V, %f percent a kelvin, %i in series at %i °C are exact by coefficient and by table',
    (vocV, pctPerK, series, coldestC, factor, stringV, tabled, tabledV) => {
      expect(coldFactor(pctPerK, coldestC)).toBeCloseTo(factor, 10);
      expect(series * vocV * coldFactor(pctPerK, coldestC)).toBeCloseTo(stringV, 8);
      expect(coldFactor(null, coldestC)).toBe(tabled);
      expect(series * vocV * coldFactor(null, coldestC)).toBeCloseTo(tabledV, 8);
    },
  );

  it('never fall as it gets colder', () => {
    const coefficient = fc.option(fc.double({ min: -1, max: -0.001, noNaN: true }));
    fc.assert(
      fc.property(coefficient, temperature, temperature, (pctPerK, a, b) => {
        const [colder, warmer] = [Math.min(a, b), Math.max(a, b)];
        expect(coldFactor(pctPerK, colder)).toBeGreaterThanOrEqual(coldFactor(pctPerK, warmer));
      }),
    );
  });
});

describe('string fuses', () => {
  it('have every check row', () => expect(FUSES).toHaveLength(10));

  it.each(FUSES)('follow the three codes: $iscA A, $strings strings, rated $ratingA A', row => {
    const rules = fuseRules(row.iscA, row.iscA * (row.strings - 1), row.ratingA);
    expect(designCurrentA(row.iscA)).toBeCloseTo(row.oneA, 10);
    expect(designCurrentA(row.iscA * row.strings)).toBeCloseTo(row.allA, 10);
    expect(CONTINUOUS * row.iscA).toBeCloseTo(row.continuousA, 3);
    expect(rules.backFeedA).toBeCloseTo(row.backFeedA, 10);
    expect([rules.nec, rules.iec62548, rules.iec60364]).toEqual([row.nec, row.iec62548, row.iec60364]);
    expect(rules.fromA).toBeCloseTo(row.window[0], 10);
    expect(rules.toA).toBeCloseTo(row.window[1], 10);
  });

  it('are not needed at the rating itself, whatever binary fractions make of it', () => {
    expect(fuseRules(4, 1.1 * 3, 1.25 * 1.1 * 3).nec).toBe(false);
    expect(fuseRules(4, 12, 15).nec).toBe(false);
  });

  it('take a usual size that both codes allow, or none', () => {
    expect(fuseRules(9.5, 19, 20).sizeA).toBe(15);
    expect(fuseRules(5.1, 10.2, 10).sizeA).toBe(10);
    expect(fuseRules(1.22, 4.88, 7).sizeA).toBe(2);
    expect(fuseRules(9, 18, 10).sizeA).toBeNull();
  });
});

describe('a lead', () => {
  it('has the resistance of copper: 100 m of 1 mm² there and back is 3.448 Ω at 20 °C', () => {
    expect(leadOhm(100, 1, 20)).toBeCloseTo(200 / 58, 12);
  });

  it('loses volts with the current and watts with its square', () => {
    const one = leadLoss(10, 2.5, 5);
    const two = leadLoss(10, 2.5, 10);
    expect(two.voltsLost).toBeCloseTo(2 * one.voltsLost, 12);
    expect(two.wattsLost).toBeCloseTo(4 * one.wattsLost, 12);
    expect(one.wattsLost).toBeCloseTo(one.voltsLost * 5, 12);
  });
});

describe('unlike panels', () => {
  const { panels, apartW, inParallelW, inSeriesW } = UNLIKE_PANELS;
  const watts = ({ volts, amps }: { volts: number; amps: number }) => volts * amps;

  it('give together no more than the single-diode model says, and at most five percent less', () => {
    expect(panels.reduce((sum, panel) => sum + watts(panel), 0)).toBeCloseTo(apartW, 0);
    for (const [estimateW, modelW] of [
      [watts(inSeries(panels)), inSeriesW],
      [watts(inParallel(panels)), inParallelW],
    ] as const) {
      expect(estimateW).toBeLessThanOrEqual(modelW);
      expect(estimateW).toBeGreaterThan(0.95 * modelW);
    }
  });

  it('that are alike lose nothing: series adds volts, parallel adds amps', () => {
    const panel = { volts: 18, amps: 5 };
    expect(inSeries([panel, panel, panel])).toEqual({ volts: 54, amps: 5 });
    expect(inParallel([panel, panel, panel])).toEqual({ volts: 18, amps: 15 });
  });
});
