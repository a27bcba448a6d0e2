import { expect, it } from 'vitest';
import { createChance } from '#energy/estimates/chance';
import { TRIAL_KINDS, type TrialAsked, type TrialKind, type TrialSamples } from '#energy/estimates/trials/asked';
import { judgeTrial } from '#energy/estimates/trials/judge';
import { PRESUMED } from '#energy/estimates/trials/kinds';

const common = {
  ratedWh: 1000,
  tempMinC: PRESUMED.tempMinC,
  tempMaxC: PRESUMED.tempMaxC,
  ownWattsLimitPct: PRESUMED.ownWattsLimitPct,
  batteryLimitPct: PRESUMED.batteryLimitPct,
  meter: { id: 'm', limitPct: 1, stepW: 1, stepWh: 1 },
};
const place = { latitudeDeg: 40, longitudeDeg: 0, altitudeM: 0, turbidity: 3 };
const panels = [{ ratedW: 200, powerPerK: null, plane: { tiltDeg: 30, azimuthDeg: 180 } }];

const OPTIONS: { readonly [K in TrialKind]: TrialAsked<K>['options'] } = {
  usable: { ...common, floorPct: null, fullPct: 100, cutoffPct: 0 },
  ownDraw: { ...common, narrowPct: 10, narrowW: 1, longestHours: 24, perPctWh: null },
  converter: { ...common, loads: 3, perPctWh: null },
  charge: { ...common, source: 'wall', fromPct: 50, toPct: 100, discharge: null },
  solar: { ...common, place, turbidityTold: false, panels, portMaxW: 180, fullPct: 100 },
  twoSets: {
    ...common,
    how: 'ports',
    a: { name: 'A', ratedW: 200 },
    b: { name: 'B', ratedW: 200 },
    portA: 1,
    portB: 2,
    place,
    panels,
    fullPct: 100,
  },
};

/** Anything a station might tell: jumps, holes, columns that are not there, very few samples. */
function anySamples(seed: number): TrialSamples {
  const chance = createChance(seed);
  const between = (min: number, max: number) => min + (max - min) * chance.uniform();
  const count = Math.floor(between(0, 1) < 0.2 ? between(0, 4) : between(50, 700));
  let at = Date.UTC(2026, 5, 21, 8) + between(0, 3_600_000);
  const times = Float64Array.from({ length: count }, () => {
    at += chance.uniform() < 0.01 ? between(0, 4 * 3_600_000) : between(1000, 60_000);
    return at;
  });
  const column = (min: number, max: number): Float64Array => {
    if (chance.uniform() < 0.15) return new Float64Array(0);
    const holes = chance.uniform() < 0.5 ? 0 : chance.uniform();
    let level = between(min, max);
    return times.map(() => {
      if (chance.uniform() < 0.02) level = chance.uniform() < 0.3 ? min : between(min, max);
      return chance.uniform() < holes ? Number.NaN : Math.round(level + between(-1, 1));
    });
  };
  return {
    at: times,
    inputW: column(0, 300),
    outputW: column(0, 300),
    acOutputW: column(0, 300),
    dcOutputW: column(0, 30),
    chargerW: column(0, 300),
    solarW: column(0, 200),
    solarPortsW: [column(0, 100), column(0, 100)],
    pct: column(0, 100),
    batteryV: column(40, 55),
    batteryA: column(-10, 10),
    batteryW: column(-300, 300),
    tempC: column(0, 50),
    acOn: column(0, 1),
    onMains: column(0, 1),
  };
}

const askedOf = (kind: TrialKind, seed: number): TrialAsked => {
  const samples = anySamples(seed);
  const { at } = samples;
  const meter = seed % 3 === 0 ? { at, powerW: samples.acOutputW, energyWh: new Float64Array(0) } : null;
  return {
    kind,
    options: OPTIONS[kind],
    station: 's',
    startedAt: at[0] ?? 0,
    endedAt: seed % 4 === 0 ? (at.at(-1) ?? 0) : null,
    nowAt: (at.at(-1) ?? 0) + 1000,
    gapLimitMs: 150_000,
    samples,
    meter: meter !== null && meter.powerW.length === at.length ? meter : null,
    steps: [],
  };
};

it('whatever a station tells, a judgement is made, and no figure or moment of it is not a number', () => {
  for (const kind of TRIAL_KINDS)
    for (let seed = 0; seed < 40; seed++) {
      const judgement = judgeTrial(askedOf(kind, seed));
      JSON.stringify(judgement, (key, value) => {
        if (typeof value === 'number' && !Number.isFinite(value))
          throw new Error(`${kind} ${seed}: ${key} is ${value}`);
        return value;
      });
      expect(['waiting', 'running', 'done', 'spoiled', 'interrupted']).toContain(judgement.phase);
      if (judgement.phase === 'spoiled') expect(judgement.result).toBeNull();
      if (judgement.phase === 'done') expect([kind, seed, judgement.result === null]).toEqual([kind, seed, false]);
    }
});
