import { describe, expect, it } from 'vitest';
import { createSkyKnots } from '#energy/estimates/runtime/sky-knots';

const MINUTE_MS = 60_000;

function countedSky(level: number) {
  const asked: number[] = [];
  const sky = (atMs: number) => {
    asked.push(atMs / MINUTE_MS);
    return level + ((atMs / MINUTE_MS) % 1000);
  };
  return { sky, asked };
}

describe('the clear sky at whole ten minutes', () => {
  it('is asked for once and the same ever after, for eight days', () => {
    const { sky, asked } = countedSky(100);
    const knots = createSkyKnots();
    const days = Array.from({ length: 8 * 144 }, (_, i) => 29_000_000 + 10 * i);
    const first = days.map(knots.over(sky));
    expect(first).toEqual(days.map(minute => sky(minute * MINUTE_MS)));
    asked.length = 0;
    expect(days.map(knots.over(sky))).toEqual(first);
    expect(asked).toEqual([]);
  });
  it('gives way to a later one where both have no place, and is asked for anew', () => {
    const { sky, asked } = countedSky(0);
    const at = createSkyKnots().over(sky);
    for (const minute of [0, 20_000, 0]) expect(at(minute)).toBe(minute % 1000);
    for (let minute = -500; minute < 20_000; minute += 10) expect(at(minute)).toBe(sky(minute * MINUTE_MS));
    expect(asked.length).toBeGreaterThan(2000);
  });
  it('is forgotten with another sky: other panels, another place', () => {
    const knots = createSkyKnots();
    expect(knots.over(countedSky(0).sky)(50)).toBe(50);
    expect(knots.over(countedSky(300).sky)(50)).toBe(350);
  });
});
