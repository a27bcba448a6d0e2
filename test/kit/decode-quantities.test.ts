import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { decodeQuantities, isQuantityKey, judge, quantityRow } from '#kit';

describe('values from a source', () => {
  it('are kept where they are plausible', () => {
    const { quantities, reasons, known } = decodeQuantities({ inputPowerW: 120, 'solarPowerW.2': 40.5 });
    expect(quantities).toEqual({ inputPowerW: 120, 'solarPowerW.2': 40.5 });
    expect(reasons).toEqual({});
    expect(known).toBe(2);
  });

  it.each([
    ['a string', '120', 'wrongType'],
    ['true', true, 'wrongType'],
    ['not a number', Number.NaN, 'wrongType'],
    ['an object', {}, 'wrongType'],
    ['a big integer', 10n, 'wrongType'],
    ['infinity', Number.POSITIVE_INFINITY, 'outOfRange'],
    ['a negative power', -1, 'outOfRange'],
    ['more than the range', 20_001, 'outOfRange'],
    ['null', null, 'notAvailable'],
  ])('become null with a reason: %s', (_, value, reason) => {
    const { quantities, reasons } = decodeQuantities({ inputPowerW: value });
    expect(quantities).toEqual({ inputPowerW: null });
    expect(reasons).toEqual({ inputPowerW: reason });
  });

  it('lose the sign of a negative zero', () => {
    expect(Object.is(decodeQuantities({ inputPowerW: -0 }).quantities.inputPowerW, 0)).toBe(true);
  });

  it('have no effect under names the table does not know, hostile ones included', () => {
    const hostile = JSON.parse('{"__proto__":{"inputPowerW":1},"constructor":1,"toString":2,"watts":3}');
    const checked = decodeQuantities(hostile);
    expect(checked).toEqual({ quantities: {}, reasons: {}, known: 0 });
    expect(({} as { inputPowerW?: number }).inputPowerW).toBeUndefined();
  });

  it('hold only known names and numbers in range, whatever JSON came', () => {
    const names = fc.oneof(fc.constantFrom('inputPowerW', 'solarPowerW.1', 'batteryTempC', '__proto__'), fc.string());
    const anything = fc.dictionary(names, fc.oneof(fc.jsonValue(), fc.double()));
    fc.assert(
      fc.property(anything, source => {
        const { quantities, reasons } = decodeQuantities(source);
        for (const [key, value] of Object.entries(quantities)) {
          expect(isQuantityKey(key)).toBe(true);
          const row = quantityRow(key)!;
          if (value === null) expect(reasons).toHaveProperty([key]);
          else expect(value! >= row.min && value! <= row.max).toBe(true);
        }
        expect(Object.keys(reasons).every(key => Object.hasOwn(quantities, key))).toBe(true);
      }),
    );
  });
});

describe('the quality of a reading', () => {
  it('is good when everything given is plausible, also where the source does not know a value', () => {
    expect(judge({ inputPowerW: 1, batteryTempC: null }, { batteryTempC: 'notAvailable' })).toBe('good');
  });

  it('is uncertain when a value was refused: the frame or its units are in doubt', () => {
    expect(judge({ inputPowerW: 1, batteryTempC: null }, { batteryTempC: 'outOfRange' })).toBe('uncertain');
  });

  it('is bad when not one value is usable', () => {
    expect(judge({ inputPowerW: null }, { inputPowerW: 'wrongType' })).toBe('bad');
    expect(judge({}, {})).toBe('bad');
  });
});
