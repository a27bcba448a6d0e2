import { describe, expect, it } from 'vitest';
import { averageOf } from '#energy/estimates/aiming/average';
import { createResolution, gatherSeconds, type Second } from '#energy/estimates/aiming/seconds';
import { sunMotion } from '#energy/estimates/aiming/sun-motion';
import { isUnsteady, wanderOf } from '#energy/estimates/aiming/wander';
import { createWarming, meanCool } from '#energy/estimates/aiming/warming';
import { createChance } from '#energy/estimates/chance';

const series = <T>(n: number, of: (k: number) => T): T[] => Array.from({ length: n }, (_, k) => of(k));

describe('a mean and its standard error', () => {
  /** Means of many drawn series, their own spread, and the error that was told on the average. */
  const told = (phi: number) => {
    const chance = createChance(11);
    const means: number[] = [];
    let errors = 0;
    for (let run = 0; run < 300; run++) {
      let x = chance.normal();
      const values = series(60, () => {
        x = phi * x + Math.sqrt(1 - phi * phi) * chance.normal();
        return 200 + x;
      });
      const { mean, error } = averageOf(values, 0.01);
      means.push(mean);
      errors += error;
    }
    const middle = means.reduce((a, b) => a + b, 0) / means.length;
    const spread = Math.sqrt(means.reduce((sum, m) => sum + (m - middle) ** 2, 0) / means.length);
    return { spread, error: errors / 300 };
  };

  it('is as large as such means really spread, values that hang together counted for less', () => {
    const [free, bound] = [told(0), told(0.7)];
    expect(bound.spread).toBeGreaterThan(1.8 * free.spread);
    for (const { spread, error } of [free, bound]) {
      expect(error).toBeGreaterThan(0.75 * spread);
      expect(error).toBeLessThan(2 * spread);
    }
  });

  it('leaves out a beginning that still climbs', () => {
    const { from, mean } = averageOf(
      series(60, k => 200 - 30 * Math.exp(-k / 4) + (k % 2)),
      1,
    );
    expect(from).toBeGreaterThan(8);
    expect(mean).toBeCloseTo(200.5, 0);
  });

  it('of watts that never move is unsure by what rounding hides, however long it is', () => {
    const { error } = averageOf(
      series(600, () => 214),
      1,
    );
    expect(error).toBeCloseTo(1 / Math.sqrt(12), 2);
  });
});

describe('how the sky wanders', () => {
  const seconds = (n: number, of: (k: number) => number) => series(n, k => ({ atMs: k * 1000, value: of(k) }));

  it('is found of a random walk, and not of hunting around a level', () => {
    const chance = createChance(3);
    let x = 0;
    const walk = wanderOf(
      seconds(240, () => {
        x += 0.002 * chance.normal();
        return 1 + x;
      }),
      0,
    )!;
    expect(walk.share).toBeGreaterThan(0.001);
    expect(walk.share).toBeLessThan(0.004);
    expect(isUnsteady(walk)).toBe(true);
    const hunts = wanderOf(
      seconds(240, () => 1 + 0.01 * chance.normal()),
      0,
    )!;
    expect(isUnsteady(hunts)).toBe(false);
  });

  it('is seen in a slope of three percent a minute within half a minute', () => {
    expect(
      isUnsteady(
        wanderOf(
          seconds(35, k => 1 - (0.06 * k) / 60),
          0,
        ),
      ),
    ).toBe(true);
  });

  it('cannot be told of a few seconds', () => {
    expect(
      wanderOf(
        seconds(4, () => 1),
        0,
      ),
    ).toBeNull();
  });
});

describe("the sun's own motion", () => {
  const light = { of: 'plane' as const, wm2: (atMs: number) => 500 + atMs / 1000 };

  it('is the ratio of the clear sky at both moments', () => {
    expect(sunMotion(light, 0, 60_000)!.ratio).toBeCloseTo(560 / 500, 12);
  });

  it('is not known better the longer ago it was', () => {
    const near = sunMotion({ ...light, of: 'level' }, 0, 60_000)!.error;
    expect(sunMotion({ ...light, of: 'level' }, 0, 600_000)!.error).toBeGreaterThan(3 * near);
    expect(sunMotion(null, 0, 60_000)).toMatchObject({ ratio: 1 });
  });

  it('is not told from or into the dark', () => {
    expect(sunMotion({ of: 'plane', wm2: at => (at > 0 ? 3 : 300) }, 0, 60_000)).toBeNull();
  });
});

describe('cells that warm', () => {
  it('have some percent still to lose when they come out of the dark, and nothing after twenty minutes', () => {
    const warming = createWarming(300, -0.004);
    for (let s = 0; s < 600; s++) warming.add(s * 1000, 0);
    for (let s = 600; s < 610; s++) warming.add(s * 1000, 220);
    const fresh = meanCool(warming.coolShares(220));
    for (let s = 610; s < 1810; s++) warming.add(s * 1000, 220);
    expect(fresh).toBeGreaterThan(0.05);
    expect(fresh).toBeLessThan(0.16);
    expect(meanCool(warming.coolShares(220))).toBeLessThan(0.008);
  });
});

describe('readings gathered into seconds', () => {
  const gathered = (times: number[]) => {
    const out: Second[] = [];
    const seconds = gatherSeconds(second => out.push(second));
    for (const atMs of times) seconds.add({ atMs, powerW: atMs / 1000, referenceW: null, limitedBy: null });
    seconds.until(1e9);
    return out;
  };

  it('become one value a second, or one a reading where they come less often', () => {
    expect(gathered(series(50, k => k * 200)).length).toBe(10);
    expect(gathered([0, 10_000, 20_000]).map(s => s.powerW)).toEqual([0, 10, 20]);
  });

  it('that go back in time are left out', () => {
    expect(gathered([5000, 4000, 6000]).map(s => s.powerW)).toEqual([5, 6]);
  });

  it('show the steps they are told in', () => {
    const resolution = createResolution();
    for (const w of [214, 215, 0, 213]) resolution.add(w);
    expect(resolution.stepW()).toBe(1);
    resolution.add(213.4);
    expect(resolution.stepW()).toBeCloseTo(0.1, 9);
  });
});
