import { expect, it } from 'vitest';
import { type Comparable, differencesOf } from '#energy/estimates/trials/compare';
import { judgeTrial } from '#energy/estimates/trials/judge';
import { heldAtRest } from '#energy/estimates/trials/per-percent';
import { indexAt } from '#energy/estimates/trials/samples';
import { energyBelowV } from '../../../simulators/plant/battery/cell.ts';
import { dischargeScript, judgeUsableOf, usableAsked } from '../../backtest/trials/discharges.ts';
import { without } from '../../backtest/trials/faults.ts';
import { drawHidden } from '../../backtest/trials/hidden.ts';
import { live, START_AT } from '../../backtest/trials/lived.ts';
import {
  askedOf,
  chargeOptions,
  chargeScript,
  converterOptions,
  converterScript,
  stepLoads,
} from '../../backtest/trials/other-trials.ts';
import { drawYard, twoSets } from '../../backtest/trials/suns.ts';

const HIDDEN = drawHidden(11);
const LOAD_W = 0.2 * HIDDEN.ratedWh;
const LIVED = live(HIDDEN, dischargeScript(LOAD_W, 1), 2);
const ASKED = usableAsked(HIDDEN, LIVED, 'none');
const upTo = (share: number) => {
  const k = Math.floor(share * LIVED.samples.at.length);
  return { ...ASKED, samples: without(LIVED.samples, k, LIVED.samples.at.length), nowAt: LIVED.samples.at[k]! };
};

it('a discharge waits for full, begins with the load, tells how long it takes, and ends at the cut-off', () => {
  // Of the whole recording the first minutes are the charger's.
  const charging = {
    ...ASKED,
    samples: without(LIVED.samples, 20, LIVED.samples.at.length),
    nowAt: LIVED.samples.at[20]!,
  };
  expect(['full', 'noInput', 'load']).toContain(judgeTrial(charging).waitsFor);
  const half = judgeTrial(upTo(0.5));
  expect(half.phase).toBe('running');
  expect(half.progress.share).toBeGreaterThan(0.3);
  expect(half.progress.leftMs).toBeGreaterThan(0);
  const whole = judgeTrial(ASKED);
  expect([whole.phase, whole.endsBecause]).toEqual(['done', 'cutOff']);
  expect(Math.abs(whole.endedAt! - LIVED.truth.cutOffAt!)).toBeLessThanOrEqual(HIDDEN.own.everyMs);
  const delivered = whole.result!.figures.find(f => f.what === 'deliveredWh')!;
  expect(Math.abs(delivered.value / (LIVED.truth.acWh * HIDDEN.own.outGain) - 1)).toBeLessThan(0.015);
  expect(delivered.budget.reduce((sum, line) => sum + line.share, 0)).toBeCloseTo(1, 6);
});

it('a load tried for two minutes at full, and unplugged, does not begin it; the one that stays does', () => {
  const script = dischargeScript(LOAD_W, 1);
  const at = 19.5 * 60_000;
  const lived = live(
    HIDDEN,
    {
      ...script,
      longestMs: 40 * 60_000,
      loadW: ms => (ms < at ? 0 : ms < at + 120_000 ? 60 : ms < at + 480_000 ? 0 : LOAD_W),
    },
    2,
  );
  const judgement = judgeTrial(usableAsked(HIDDEN, lived, 'none'));
  expect([judgement.phase, judgement.spoiledBy]).toEqual(['running', []]);
  expect(judgement.beganAt! - START_AT).toBeGreaterThanOrEqual(at + 480_000);
});

it('the same samples give the same judgement however often the agent was started meanwhile', () => {
  expect(judgeTrial(upTo(0.7))).toEqual(judgeTrial(upTo(0.7)));
  // Judged on the way or only at the end: nothing that was said before is needed.
  judgeTrial(upTo(0.2));
  expect(judgeTrial(ASKED)).toEqual(judgeTrial({ ...ASKED }));
});

it('readings missing for two minutes widen the range; for an hour they interrupt, and what was measured stays', () => {
  const at = LIVED.samples.at;
  const middle = Math.floor(at.length / 2);
  const gapOf = (ms: number) => {
    const end = at.findIndex(t => t > at[middle]! + ms);
    return judgeTrial({ ...ASKED, samples: without(LIVED.samples, middle, end) });
  };
  const whole = judgeTrial(ASKED).result!.figures[0]!;
  const short = gapOf(120_000);
  expect(short.phase).toBe('done');
  expect(short.spoiledBy.map(s => [s.what, s.consequence])).toEqual([['gap', 'widens']]);
  const figure = short.result!.figures[0]!;
  expect(figure.high95 - figure.low95).toBeGreaterThan(whole.high95 - whole.low95);
  expect(figure.budget.map(line => line.source)).toContain('bridgedGap');
  const long = gapOf(3_600_000);
  expect([long.phase, long.endsBecause]).toEqual(['interrupted', 'gap']);
  expect(long.result!.figures[0]!.value).toBeLessThan(0.7 * whole.value);
});

it('down to a floor it ends there; ended by the owner before any end it is interrupted', () => {
  const floor = judgeTrial(usableAsked(HIDDEN, LIVED, 'none', { floorPct: 40 }));
  expect([floor.phase, floor.endsBecause, floor.result!.under.toPct]).toEqual(['done', 'floor', 40]);
  const at = LIVED.samples.at[Math.floor(LIVED.samples.at.length / 2)]!;
  expect(judgeTrial({ ...ASKED, endedAt: at }).phase).toBe('interrupted');
});

it('a meter tells how far the own watts are off, read by itself or typed now and then', () => {
  for (const meter of ['watts', 'counts', 'typed'] as const) {
    const gain = judgeUsableOf(HIDDEN, LIVED, meter).result!.figures.find(f => f.what === 'gainErrorPct')!;
    const truth = 100 * (HIDDEN.own.outGain - 1);
    expect(gain.low95).toBeLessThanOrEqual(truth);
    expect(gain.high95).toBeGreaterThanOrEqual(truth);
    expect(gain.high95 - gain.low95).toBeLessThan(4);
  }
});

it('a percent told once a minute, and missing in between, judges as one told always', () => {
  const { samples } = ASKED;
  const rare = { ...samples, pct: samples.pct.map((pct, k) => (k % 6 === 0 ? pct : Number.NaN)) };
  const judgement = judgeTrial({ ...ASKED, samples: rare });
  expect([judgement.phase, judgement.endsBecause]).toEqual(['done', 'cutOff']);
  const [figure, always] = [judgement, judgeTrial(ASKED)].map(j => j.result!.figures[0]!);
  expect(Math.abs(figure!.value / always!.value - 1)).toBeLessThan(0.002);
  expect(judgement.result!.under.fromPct).not.toBeNull();
  expect(JSON.stringify(judgement)).not.toMatch(/NaN/);
});

it('a meter that is silent for half of the run, or measures something else, is told, and nothing is said by it', () => {
  const asked = usableAsked(HIDDEN, LIVED, 'watts');
  const change = (meter: typeof asked.meter) => judgeTrial({ ...asked, meter });
  const half = Math.floor(asked.meter!.at.length * 0.4);
  const cut = (column: Float64Array) => column.subarray(0, half);
  const silent = change({
    at: cut(asked.meter!.at),
    powerW: cut(asked.meter!.powerW),
    energyWh: asked.meter!.energyWh,
  });
  const other = change({ ...asked.meter!, powerW: asked.meter!.powerW.map(w => 0.4 * w) });
  expect([silent, other].map(j => j.spoiledBy.map(s => s.what))).toEqual([['meterSilent'], ['meterDisagrees']]);
  for (const judgement of [silent, other]) {
    expect(judgement.phase).toBe('done');
    expect(judgement.result!.figures.map(f => f.against)).not.toContain('meter');
  }
});

it('what a percent holds on the battery side is measured in a discharge, for own draw and converter', () => {
  const hidden = { ...HIDDEN, own: { ...HIDDEN.own, tellsBattery: true } };
  const lived = live(hidden, dischargeScript(LOAD_W, 1), 2);
  const figure = judgeUsableOf(hidden, lived, 'none').result!.figures.find(f => f.what === 'batteryPerPercentWh')!;
  const held = heldAtRest(figure);
  const truth = (hidden.pack.cells * hidden.pack.capacityAh * energyBelowV(1)) / 100 / hidden.gauge.dischargeGain;
  expect(Math.abs(held.value - truth)).toBeLessThan(2.5 * held.standardUncertainty);
  expect(held.standardUncertainty / held.value).toBeLessThan(0.03);
});

it('a charge after the discharge tells times, taper, energy for each percent and the round trip', () => {
  const delivered = judgeTrial(ASKED).result!;
  const { fromPct, toPct } = delivered.under;
  const discharge = { figure: delivered.figures[0]!, fromPct: fromPct!, toPct: toPct! };
  const lived = live(HIDDEN, chargeScript(LIVED.truth.endPct, 3), 4);
  const judged = judgeTrial(askedOf(HIDDEN, lived, 'charge', chargeOptions(HIDDEN, discharge, 'none')));
  expect([judged.phase, judged.endsBecause]).toEqual(['done', 'full']);
  const value = (what: string) => judged.result!.figures.find(f => f.what === what)!.value;
  expect(value('minutesTo80')).toBeLessThan(value('minutesTo90'));
  expect(value('minutesTo90')).toBeLessThan(value('minutesTo100'));
  expect(value('taperFromPct')).toBeGreaterThan(80);
  expect(value('roundTripPct')).toBeGreaterThan(65);
  expect(value('roundTripPct')).toBeLessThan(92);
  expect(value('inPerPercentWh')).toBeGreaterThan(HIDDEN.ratedWh / 100);
  expect(judged.result!.curves.map(c => c.of)).toContain('wattsByPercent');
});

it('two runs at unlike loads are not held against each other; a station equals itself', () => {
  const result = judgeTrial(ASKED).result!;
  const of = (id: string, change: Partial<Comparable>): Comparable => ({
    id,
    station: 'a',
    kind: 'usable',
    result,
    ownWattsLimitPct: 3,
    ...change,
  });
  const same = differencesOf(of('1', {}), of('2', {}))[0]!;
  expect([same.difference, same.verdict]).toEqual([0, 'noDifference']);
  const heavier = { ...result, under: { ...result.under, meanW: 3 * result.under.meanW! } };
  const unlike = differencesOf(of('1', {}), of('2', { result: heavier }))[0]!;
  expect([unlike.verdict, unlike.because]).toEqual(['notComparable', ['load']]);
  // By own watts of two stations the range is far wider than by those of one.
  const other = differencesOf(of('1', {}), of('2', { station: 'b' }))[0]!;
  expect(other.high95 - other.low95).toBeGreaterThan(3 * (same.high95 - same.low95));
  expect(other.because).toEqual(['ownWattsOnly']);
});

it('a link that stutters keeps no load of a converter trial from being counted, and says which one is measured now', () => {
  const hidden = Array.from({ length: 40 }, (_, k) => drawHidden(100 + k)).find(h => h.own.tellsBattery)!;
  const loads = stepLoads(hidden, 3);
  const script = converterScript(hidden, loads);
  // Every two minutes some of it is missing: each stretch between is far too short by itself.
  const lived = live(
    hidden,
    { ...script, longestMs: script.longestMs + 20 * 60_000, silent: ms => ms % 120_000 < 20_000 },
    3,
  );
  const asked = askedOf(hidden, lived, 'converter', converterOptions(hidden, 'none'));
  const short = judgeTrial(asked);
  expect(short.progress.count).toBeGreaterThanOrEqual(3);
  const soon = indexAt(lived.samples.at, START_AT + 6 * 60_000);
  const early = { ...asked, samples: without(lived.samples, soon, lived.samples.at.length) };
  expect(judgeTrial({ ...early, nowAt: lived.samples.at[soon]! })).toMatchObject({
    phase: 'running',
    waitsFor: 'loadStands',
  });
});

it('watts have a band that holds how far they may be off; percents are the gauge’s own word', () => {
  const { curves } = judgeTrial(ASKED).result!;
  const point = (of: string) => curves.find(curve => curve.of === of)!.points[50]!;
  const watts = point('wattsByHour');
  expect((watts.high95 - watts.y) / watts.y).toBeGreaterThan(0.95 * 0.03 * 0.99);
  expect((watts.high95 - watts.y) / watts.y).toBeLessThan(0.045);
  expect(point('percentByHour').high95).toBe(point('percentByHour').y);
});

it('a charge tells no taper before there is one', () => {
  const lived = live(HIDDEN, chargeScript(5, 3), 5);
  const asked = askedOf(HIDDEN, lived, 'charge', chargeOptions(HIDDEN, null, 'none'));
  const k = Math.floor(0.55 * lived.samples.at.length);
  const half = judgeTrial({
    ...asked,
    samples: without(lived.samples, k, lived.samples.at.length),
    nowAt: lived.samples.at[k]!,
  });
  expect(half.phase).toBe('running');
  expect(half.result!.figures.map(({ what }) => what)).not.toContain('taperFromPct');
  expect(judgeTrial(asked).result!.figures.map(({ what }) => what)).toContain('taperFromPct');
});

it('two sets in turn: the other one is asked for once the first has stood, not at once', () => {
  const asked = twoSets(drawYard(4), 'alternated', 1);
  const first = [...asked.steps].sort((a, b) => a.at - b.at).find(({ step }) => step !== 'away')!;
  const at = (ms: number) => {
    const k = indexAt(asked.samples.at, first.at + ms);
    const nowAt = asked.samples.at[k - 1]!;
    const steps = asked.steps.filter(step => step.at <= first.at);
    return judgeTrial({ ...asked, steps, samples: without(asked.samples, k, asked.samples.at.length), nowAt });
  };
  expect([at(3 * 60_000).phase, at(3 * 60_000).waitsFor]).toEqual(['running', 'setStands']);
  expect(at(7 * 60_000).waitsFor).toBe('otherSet');
});
