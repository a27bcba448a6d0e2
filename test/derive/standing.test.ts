import { describe, expect, it } from 'vitest';
import { clearLightOver } from '../../agent/derive/clear-light.ts';
import {
  type DatedFact,
  planeKey,
  planesFrom,
  STANDING,
  spotPlaneAt,
  standingJson,
  stayAt,
  staysOf,
  wholePlane,
} from '../../agent/derive/standing.ts';

const stood = (spot: string | null, validFromMs: number): DatedFact => ({
  key: STANDING,
  valueJson: standingJson(spot),
  validFromMs,
});
const turned = (spot: string, validFromMs: number, tiltDeg: number | null, azimuthDeg: number | null): DatedFact => ({
  key: planeKey(spot),
  valueJson: JSON.stringify({ tiltDeg, azimuthDeg }),
  validFromMs,
});

describe('where the panels stood', () => {
  const facts = [stood(null, 300), stood('step', 100), stood('fence', 200), stood('fence', 250)];

  it('is told as stays, in order of time, the last without an end', () => {
    expect(staysOf(facts)).toEqual([
      { spot: 'step', fromMs: 100, toMs: 200 },
      { spot: 'fence', fromMs: 200, toMs: 300 },
      { spot: null, fromMs: 300, toMs: Number.POSITIVE_INFINITY },
    ]);
  });

  it('is not known before the first word', () => {
    const stays = staysOf(facts);
    expect(stayAt(stays, 99)).toBeNull();
    expect([100, 199, 200, 1e9].map(at => stayAt(stays, at)?.spot)).toEqual(['step', 'step', 'fence', null]);
  });
});

describe('how panels stand at a spot', () => {
  const facts = [turned('step', 100, 26, 180), turned('step', 200, 40, 180), turned('fence', 50, 0, null)];

  it('is what was said by then, and before the first word that one', () => {
    expect([0, 150, 200].map(at => spotPlaneAt(facts, 'step', at).tiltDeg)).toEqual([26, 26, 40]);
    expect(spotPlaneAt(facts, 'gate', 100)).toEqual({ tiltDeg: null, azimuthDeg: null });
  });

  it('is a whole plane with tilt and turn, or flat', () => {
    expect(wholePlane({ tiltDeg: 26, azimuthDeg: 180 })).toEqual({ tiltDeg: 26, azimuthDeg: 180 });
    expect(wholePlane({ tiltDeg: 0, azimuthDeg: null })).toEqual({ tiltDeg: 0, azimuthDeg: 0 });
    expect(wholePlane({ tiltDeg: 26, azimuthDeg: null })).toBeNull();
    expect(wholePlane({ tiltDeg: null, azimuthDeg: 180 })).toBeNull();
  });

  it('holds for the panels while they stand there, changes of it included', () => {
    const all = [...facts, stood('step', 120), stood(null, 300)];
    expect(planesFrom(all)).toEqual([
      { fromMs: 120, plane: { tiltDeg: 26, azimuthDeg: 180 } },
      { fromMs: 200, plane: { tiltDeg: 40, azimuthDeg: 180 } },
      { fromMs: 300, plane: null },
    ]);
  });
});

describe('the light on panels that are carried about', () => {
  const place = { latitudeDeg: 45, longitudeDeg: 0 };
  const noon = Date.UTC(2026, 2, 20, 12);
  const own = [{ ratedW: 100, tiltDeg: 0, azimuthDeg: 0 }];

  it('is that of the plane they had at the time, and of their own before and after', () => {
    const steep = { tiltDeg: 45, azimuthDeg: 180 };
    const standing = [
      { fromMs: noon, plane: steep },
      { fromMs: noon + 60_000, plane: null },
    ];
    const light = clearLightOver(place, own, standing)!;
    const flat = clearLightOver(place, own)!;
    const upright = clearLightOver(place, [{ ratedW: 100, ...steep }])!;
    expect(light(noon - 1)).toBe(flat(noon - 1));
    expect(light(noon + 1)).toBeCloseTo(upright(noon + 1), 9);
    expect(light(noon + 60_000)).toBe(flat(noon + 60_000));
    expect(light(noon + 1)).toBeGreaterThan(1.2 * light(noon - 1));
  });
});
