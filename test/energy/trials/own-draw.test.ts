import { expect, it } from 'vitest';
import type { OwnDrawOptions, TrialAsked, TrialSamples } from '#energy/estimates/trials/asked';
import { judgeTrial } from '#energy/estimates/trials/judge';

const HOUR = 3_600_000;
const NONE = new Float64Array(0);

/** Percents of a station left alone with its outlets on, read every so often. */
function alone(pctAt: (hours: number) => number, hours: number, everyMs = 10_000): TrialSamples {
  const count = Math.floor((hours * HOUR) / everyMs) + 1;
  const of = (value: (k: number) => number) => Float64Array.from({ length: count }, (_, k) => value(k));
  return {
    at: of(k => k * everyMs),
    inputW: of(() => 0),
    outputW: of(() => 0),
    acOutputW: NONE,
    dcOutputW: NONE,
    chargerW: NONE,
    solarW: NONE,
    solarPortsW: [],
    pct: of(k => pctAt((k * everyMs) / HOUR)),
    batteryV: NONE,
    batteryA: NONE,
    batteryW: NONE,
    tempC: NONE,
    acOn: of(() => 1),
    onMains: NONE,
  };
}

const OPTIONS: OwnDrawOptions = {
  ratedWh: 1300,
  tempMinC: 10,
  tempMaxC: 45,
  ownWattsLimitPct: 3,
  batteryLimitPct: 1,
  meter: null,
  narrowPct: 10,
  narrowW: 1,
  longestHours: 24,
  perPctWh: null,
};

const asked = (samples: TrialSamples, options: Partial<OwnDrawOptions> = {}): TrialAsked<'ownDraw'> => ({
  kind: 'ownDraw',
  options: { ...OPTIONS, ...options },
  station: 'hive',
  startedAt: 0,
  endedAt: null,
  nowAt: samples.at.at(-1)!,
  gapLimitMs: 30_000,
  samples,
  meter: null,
  steps: [],
});

const ownDraw = (of: TrialAsked<'ownDraw'>) => judgeTrial(of).result?.figures.find(f => f.what === 'ownDrawW');

it('eleven percents of 1.3 kWh in seven hours, read twice by eye, are 20 W give or take 2, not 20.4', () => {
  const samples = alone(hours => (hours < 3.5 ? 80 : 69), 7, 7 * HOUR);
  const figure = ownDraw({
    ...asked(samples, { perPctWh: { value: 13, standardUncertainty: 0.39 } }),
    endedAt: 7 * HOUR,
    gapLimitMs: 8 * HOUR,
  });
  expect(figure?.value).toBeCloseTo(20.4, 1);
  const half = (figure!.high95 - figure!.low95) / 2;
  expect(half).toBeGreaterThan(1.5);
  expect(half).toBeLessThan(2.5);
  expect(figure!.budget.map(line => line.source)).toContain('wholePercents');
});

it('timed from tick to tick the rounding of the station does not matter, and it ends when the range is narrow enough', () => {
  // 20 W of 12.61 Wh a percent: 1.586 % an hour.
  const fall = (hours: number) => 80.7 - (20 / 12.61) * hours;
  const said = [Math.floor, Math.round, Math.ceil].map(rounded => {
    const judgement = judgeTrial(asked(alone(hours => rounded(fall(hours)), 8)));
    expect([judgement.phase, judgement.endsBecause]).toEqual(['done', 'narrowEnough']);
    expect(judgement.endedAt! / HOUR).toBeLessThan(5);
    return judgement.result!.figures[0]!;
  });
  for (const figure of said) {
    expect(Math.abs(figure.value - 20)).toBeLessThan(0.5);
    expect((figure.high95 - figure.low95) / 2).toBeLessThanOrEqual(0.1 * figure.value + 0.01);
  }
});

it('while it runs it says how much longer it takes, and less as time goes by', () => {
  const fall = (hours: number) => Math.round(80.7 - 1.586 * hours);
  const [early, later] = [2, 2.8].map(hours => judgeTrial(asked(alone(fall, hours))));
  expect(early!.phase).toBe('running');
  expect(early!.progress.leftMs).toBeGreaterThan(later!.progress.leftMs!);
  expect(early!.result).not.toBeNull();
});

it('a gauge that sees no such small current ends it as spoiled, with no figure', () => {
  const judgement = judgeTrial(
    asked(
      alone(() => 80, 9),
      { longestHours: 12 },
    ),
  );
  expect(judgement.phase).toBe('spoiled');
  expect(judgement.spoiledBy.map(s => s.what)).toEqual(['gaugeBlind']);
  expect(judgement.result).toBeNull();
});

it('it waits for what is lacking: a charge, the load to be unplugged, the outlets to be on', () => {
  const samples = alone(() => 80, 0.5);
  const waits = (change: Partial<TrialSamples>) => judgeTrial(asked({ ...samples, ...change })).waitsFor;
  expect(waits({ inputW: samples.at.map(() => 90) })).toBe('noInput');
  expect(waits({ outputW: samples.at.map(() => 40) })).toBe('noLoad');
  expect(waits({ acOn: samples.at.map(() => 0) })).toBe('outletsOn');
  expect(waits({ pct: NONE })).toBe('stateOfCharge');
  expect(judgeTrial({ ...asked(samples), startedAt: HOUR }).waitsFor).toBe('readings');
});
