import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { allocate, checkArrangements, isSafe, type Panel, type Port } from '#energy/wiring/index';
import { anyPanel, anyPort, anyWeather, shedPanel, shedPort, shedWeather } from '../../support/any-panels.ts';

const twin: Port = { ...shedPort, name: 'the other port' };

/** The most watts of all ways to fill two ports, by trying each with each. */
function bestOfTwo(panels: readonly Panel[], [a, b]: readonly [Port, Port], weather: typeof shedWeather): number {
  const safe = (port: Port) => [
    null,
    ...checkArrangements(panels, port, weather).filter(({ verdict }) => isSafe(verdict)),
  ];
  let mostW = 0;
  for (const first of safe(a))
    for (const second of safe(b)) {
      const enough = panels.every((p, kind) => (first?.used[kind] ?? 0) + (second?.used[kind] ?? 0) <= p.count);
      if (enough) mostW = Math.max(mostW, (first?.deliverableW ?? 0) + (second?.deliverableW ?? 0));
    }
  return mostW;
}

describe('panels over several ports', () => {
  it('go as one string into each where one string is all that a port bears', () => {
    const { allocations, complete } = allocate([{ ...shedPanel, count: 6 }], [shedPort, twin], shedWeather);
    expect(complete).toBe(true);
    expect(allocations[0]!.parts.map(part => part?.strings)).toEqual([[[3]], [[3]]]);
    expect(allocations[0]).toMatchObject({ verdict: 'fits', deliverableW: 540, panelsLeftOver: 0 });
  });

  it('of two kinds go each to the port that takes most of them', () => {
    const large: Panel = { ...shedPanel, name: 'large', count: 1, ratedW: 200, openCircuitV: 45, maxPowerV: 41.4 };
    const narrow: Port = { ...shedPort, name: 'narrow', maxV: 60 };
    const [best] = allocate([shedPanel, large], [narrow, shedPort], shedWeather).allocations;
    expect(best!.parts.map(part => part?.strings)).toEqual([[[0, 1]], [[3, 0]]]);
  });

  it('leave a port empty where nothing may be connected, and say nothing where no port may be used', () => {
    const tiny: Port = { ...shedPort, name: 'tiny', maxV: 20 };
    expect(allocate([shedPanel], [tiny, shedPort], shedWeather).allocations[0]!.parts[0]).toBeNull();
    expect(allocate([shedPanel], [tiny], shedWeather).allocations).toEqual([]);
    expect(allocate([{ ...shedPanel, openCircuitV: null }], [shedPort], shedWeather).allocations).toEqual([]);
  });

  it('do not tell in a part that panels are left over which another port takes', () => {
    const [best] = allocate([{ ...shedPanel, count: 6 }], [shedPort, twin], shedWeather).allocations;
    for (const part of best!.parts) expect(part!.reasons.map(({ code }) => code)).not.toContain('leftOver');
  });

  it('say so where there are too many ways to try all', () => {
    const many = { ...shedPanel, openCircuitPctPerK: -0.3, count: 100 };
    const wide: Port = { ...shedPort, minV: 5, maxV: 1500, maxA: 1000, maxW: 50_000 };
    const ports = [1, 2].map(i => ({ ...wide, name: `port ${i}` }));
    expect(allocate([many, { ...many, name: 'other' }], ports, shedWeather).complete).toBe(false);
  });

  it('list what only swaps equal ports once', () => {
    const { allocations } = allocate([shedPanel], [shedPort, twin], shedWeather);
    const ways = allocations.map(({ parts }) => JSON.stringify(parts.map(part => part?.strings ?? null).sort()));
    expect(new Set(ways).size).toBe(ways.length);
  });

  it('are never more than there are, and bring as many watts as trying everything does', () => {
    const panels = fc.array(anyPanel(4), { minLength: 1, maxLength: 2 });
    fc.assert(
      fc.property(panels, anyPort, anyPort, anyWeather, (kinds, a, b, weather) => {
        const ports = [a, { ...b, name: 'other' }] as const;
        const { allocations } = allocate(kinds, ports, weather);
        expect(allocations[0]?.deliverableW ?? 0).toBeCloseTo(bestOfTwo(kinds, ports, weather), 2);
        for (const { parts } of allocations)
          for (const [kind, panel] of kinds.entries()) {
            const used = parts.reduce((sum, part) => sum + (part?.used[kind] ?? 0), 0);
            expect(used).toBeLessThanOrEqual(panel.count);
          }
      }),
      { numRuns: 60 },
    );
  });
});
