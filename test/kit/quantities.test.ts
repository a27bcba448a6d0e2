import { describe, expect, it } from 'vitest';
import { isQuantityKey, QUANTITIES, quantityRow } from '#kit';

describe('the quantities table', () => {
  it('knows a port of a per-port quantity and refuses one of any other', () => {
    expect(isQuantityKey('solarPowerW.2')).toBe(true);
    expect(isQuantityKey('outputPowerW.2')).toBe(false);
    expect(isQuantityKey('solarPowerW.0')).toBe(false);
    expect(isQuantityKey('solarPowerW.17')).toBe(false);
    expect(isQuantityKey('__proto__')).toBe(false);
    expect(isQuantityKey('constructor')).toBe(false);
  });

  it('carries the unit of each quantity at the end of its name', () => {
    const suffix = { W: 'W', '%': 'Pct', V: 'V', A: 'A', '°C': 'TempC', Wh: 'Wh', Hz: 'Hz', 'W/m²': 'Wm2' } as const;
    for (const [name, row] of Object.entries(QUANTITIES)) {
      if (row.unit === 'min') expect(name).toMatch(/Minutes/);
      else expect(name.endsWith(suffix[row.unit])).toBe(true);
      expect(row.min).toBeLessThan(row.max);
    }
  });

  it('never lets a port power be negative', () => {
    expect(quantityRow('solarPowerW.1')?.min).toBe(0);
  });
});
