import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { tell } from '../../../agent/energy/estimates/skyline/clock-strip.ts';
import { createPatches, middleOfPatch, PATCH_DEG, patchAt } from '../../../agent/energy/estimates/skyline/patches.ts';

const place = fc.record({
  azimuthDeg: fc.double({ min: 0, max: 359.999, noNaN: true }),
  elevationDeg: fc.double({ min: 0, max: 89.99, noNaN: true }),
});
const vote = (azimuthDeg: number, elevationDeg: number, sun: number, weight = 1) => ({
  patch: patchAt(azimuthDeg, elevationDeg),
  sun,
  weight,
  minutes: 6,
});

describe('patches of sky', () => {
  it('hold the places around their middles, and no place lies far from its own', () => {
    fc.assert(
      fc.property(place, ({ azimuthDeg, elevationDeg }) => {
        const patch = patchAt(azimuthDeg, elevationDeg);
        const middle = middleOfPatch(patch);
        expect(patchAt(middle.azimuthDeg, middle.elevationDeg)).toBe(patch);
        expect(Math.abs(middle.elevationDeg - elevationDeg)).toBeLessThanOrEqual(PATCH_DEG / 2 + 1e-9);
        const aside = ((middle.azimuthDeg - azimuthDeg + 540) % 360) - 180;
        // Close to the zenith a patch is wide in azimuth, and still no wider over the sky.
        expect(Math.abs(aside) * Math.cos((middle.elevationDeg * Math.PI) / 180)).toBeLessThanOrEqual(1.6);
      }),
    );
  });

  it('tell sun after two separate days, shade after three, and nothing where days disagree', () => {
    const days = (shares: readonly number[]) => {
      const patches = createPatches();
      for (const [day, sun] of shares.entries()) patches.put(day, [vote(200, 30, sun)]);
      return tell(patches.at(200, 30, shares.length));
    };
    expect([[1], [1, 1], [0, 0], [0, 0, 0], [1, 0, 1, 0], [1, 1, 1, 0], [0, 0, 0, 1]].map(days)).toEqual([
      'unknown',
      'sun',
      'unknown',
      'shade',
      'unknown',
      'sun',
      'shade',
    ]);
  });

  it('count a day once, however often it is put, and take back what it no longer says', () => {
    const patches = createPatches();
    patches.put(1, [vote(200, 30, 1), vote(203, 30, 1)]);
    patches.put(1, [vote(200, 30, 0)]);
    expect([...patches.each()]).toHaveLength(1);
    expect(patches.at(200, 30, 1)).toMatchObject({ sunDays: 0, shadeDays: 1 });
  });

  it('reach a little over the sky, across north too, and no further', () => {
    const patches = createPatches();
    patches.put(1, [vote(359.9, 20, 1)]);
    expect(patches.at(0.5, 20.5, 1).sun).toBeGreaterThan(0.5);
    expect(patches.at(8, 20, 1)).toEqual({ sun: 0, shade: 0, sunDays: 0, shadeDays: 0 });
  });

  it('let evidence fade, and newer days push older ones out', () => {
    const patches = createPatches();
    for (let day = 0; day < 7; day++) patches.put(day, [vote(200, 30, 0)]);
    const fresh = patches.at(200, 30, 7).shade;
    expect(patches.at(200, 30, 67).shade).toBeCloseTo(fresh / 2, 5);
    for (let day = 7; day < 11; day++) patches.put(day, [vote(200, 30, 1)]);
    expect(tell(patches.at(200, 30, 11))).toBe('unknown');
    for (let day = 11; day < 14; day++) patches.put(day, [vote(200, 30, 1)]);
    expect(tell(patches.at(200, 30, 14))).toBe('sun');
  });

  it('come back from JSON as they were, without a day that goes on', () => {
    const patches = createPatches();
    for (let day = 0; day < 3; day++) patches.put(day, [vote(200, 30, 0.25, 0.5), vote(90, 10, 1)]);
    const packed = JSON.parse(JSON.stringify(patches.pack(2)));
    const back = createPatches(packed);
    expect(back.at(200, 30, 3)).toMatchObject({ shadeDays: 2 });
    back.put(2, [vote(200, 30, 0.25, 0.5), vote(90, 10, 1)]);
    expect(back.pack(null)).toEqual(patches.pack(null));
  });
});
