/** One seed through every kind of trial: each stated range beside the hidden truth. */
import type { Delivered, TrialJudgement, TrialKind } from '#energy/estimates/trials/asked';
import type { Figure, FigureName } from '#energy/estimates/trials/figure';
import { judgeTrial } from '#energy/estimates/trials/judge';
import { dischargeScript, judgeUsableOf, loadOf } from './discharges.ts';
import { type Held, heldOf } from './held.ts';
import { drawHidden, type Hidden, trueBusW, trueContentW } from './hidden.ts';
import { type Lived, live, START_AT } from './lived.ts';
import {
  askedOf,
  chargeOptions,
  chargeScript,
  converterOptions,
  converterScript,
  ownDrawOptions,
  ownDrawScript,
  pluggedInMs,
  stepLoads,
  trueEfficiencyPct,
} from './other-trials.ts';
import { drawYard, sunDay, twoSets } from './suns.ts';

export interface Proved {
  readonly held: readonly Held[];
  /** Greatest error of each curve from 50 W up, points, by how it was measured. */
  readonly curves: readonly { readonly by: string; readonly worst: number }[];
  /** Kinds that were not told as good although nothing was wrong. */
  readonly notGood: readonly TrialKind[];
}

const MINUTE = 60_000;
const CURVE_FROM_W = 50;

const figure = (judgement: TrialJudgement, what: FigureName): Figure | undefined =>
  judgement.phase === 'done' ? judgement.result?.figures.find(f => f.what === what) : undefined;

/** What was true between two instants, of a running total. */
function between({ truth }: Lived, total: Float64Array, fromAt: number, toAt: number): number {
  const indexOf = (at: number) => {
    const k = truth.at.findIndex(t => t >= at);
    return k < 0 ? truth.at.length - 1 : k;
  };
  return total[indexOf(toAt)]! - total[indexOf(fromAt)]!;
}

interface Run {
  readonly held: Held[];
  readonly good: boolean;
}

function usableAndCharge(hidden: Hidden, seed: number): { runs: [TrialKind, Run][] } {
  const lived = live(hidden, dischargeScript(loadOf(hidden, seed), seed), seed + 1);
  const { truth } = lived;
  const own = judgeUsableOf(hidden, lived, 'none');
  const held: Held[] = heldOf('usable: Wh by own watts', figure(own, 'deliveredWh'), truth.acWh * hidden.own.outGain);
  const begin = own.beganAt ?? START_AT;
  const conversion =
    (100 * between(lived, truth.acByWh, begin, truth.cutOffAt ?? begin)) /
    between(lived, truth.busByWh, begin, truth.cutOffAt ?? begin);
  held.push(...heldOf('usable: conversion % by own watts', figure(own, 'conversionPct'), conversion));
  for (const meter of ['watts', 'typed'] as const) {
    const judged = judgeUsableOf(hidden, lived, meter);
    held.push(
      ...heldOf(`usable: Wh by meter (${meter})`, figure(judged, 'deliveredByMeterWh'), truth.acWh),
      ...heldOf(`usable: gain error % (${meter})`, figure(judged, 'gainErrorPct'), 100 * (hidden.own.outGain - 1)),
    );
  }
  const delivered = figure(own, 'deliveredWh');
  const under = own.result?.under;
  const discharge: Delivered | null =
    delivered === undefined || under?.fromPct == null || under.toPct === null
      ? null
      : { figure: delivered, fromPct: under.fromPct, toPct: under.toPct };
  return {
    runs: [
      ['usable', { held, good: own.phase === 'done' }],
      ['charge', charge(hidden, lived, discharge, seed)],
    ],
  };
}

function charge(hidden: Hidden, before: Lived, discharge: Delivered | null, seed: number): Run {
  const lived = live(hidden, chargeScript(before.truth.endPct, seed + 2), seed + 3);
  const { truth } = lived;
  const judged = judgeTrial(askedOf(hidden, lived, 'charge', chargeOptions(hidden, discharge, 'none')));
  const onAt = START_AT + pluggedInMs(seed + 2);
  const takenWh = between(lived, truth.inByWh, START_AT, judged.endedAt ?? START_AT);
  const tickAt = (pct: number) => truth.ticks.find(t => t.pct >= pct && t.at > onAt)?.at ?? Number.NaN;
  return {
    good: judged.phase === 'done',
    held: [
      ...heldOf('charge: Wh taken in', figure(judged, 'takenInWh'), takenWh * hidden.own.inGain),
      ...heldOf('charge: minutes to 80 %', figure(judged, 'minutesTo80'), (tickAt(80) - onAt) / MINUTE),
      ...heldOf('charge: minutes to 100 %', figure(judged, 'minutesTo100'), (tickAt(100) - onAt) / MINUTE),
      ...heldOf('charge: round trip %', figure(judged, 'roundTripPct'), (100 * before.truth.acWh) / takenWh),
    ],
  };
}

function ownDraw(hidden: Hidden, seed: number): Run {
  const lived = live(hidden, ownDrawScript(hidden, seed + 4), seed + 5);
  const judged = judgeTrial(askedOf(hidden, lived, 'ownDraw', ownDrawOptions(hidden)));
  return {
    good: judged.phase === 'done',
    held: heldOf('own draw: W', figure(judged, 'ownDrawW'), trueBusW(hidden, 0)),
  };
}

function converter(hidden: Hidden, seed: number): Run & { curves: { by: string; worst: number }[] } {
  const loads = stepLoads(hidden, seed + 6);
  const lived = live(hidden, converterScript(hidden, loads), seed + 7);
  const sensors = hidden.own.tellsBattery;
  // By percents the battery's own loss is in it.
  const truth = (w: number) =>
    sensors ? trueEfficiencyPct(hidden, w) : (100 * w) / trueContentW(hidden, trueBusW(hidden, w));
  const held: Held[] = [];
  const curves: { by: string; worst: number }[] = [];
  let good = true;
  for (const meter of ['none', 'watts'] as const) {
    const judged = judgeTrial(askedOf(hidden, lived, 'converter', converterOptions(hidden, meter), meter));
    good &&= judged.phase === 'done';
    const by = `${sensors ? 'volts and amperes' : 'percents'}, ${meter === 'none' ? 'own watts' : 'meter'}`;
    for (const of of judged.phase === 'done' ? judged.result!.figures : []) {
      if (of.what !== 'efficiencyPct') continue;
      const nearest = loads.reduce((a, b) => (Math.abs(b - of.atW!) < Math.abs(a - of.atW!) ? b : a));
      held.push(...heldOf(`converter: efficiency % (${by})`, of, truth(nearest)));
    }
    const line = judged.result?.curves.find(c => c.as === 'line')?.points.filter(p => p.x >= CURVE_FROM_W) ?? [];
    const worst = (true_: (w: number) => number) => Math.max(...line.map(p => Math.abs(p.y - true_(p.x))));
    curves.push({ by, worst: worst(truth) });
    const { outGain, batteryVGain, batteryAGain } = hidden.own;
    if (meter === 'none' && sensors)
      curves.push({
        by: 'as the station tells watts',
        worst: worst(w => (100 * w) / (trueBusW(hidden, w / outGain) * batteryVGain * batteryAGain)),
      });
  }
  return { held, curves, good };
}

/** Days of sun, and two sets in turn or at two ports. */
function underTheSun(seed: number): { runs: [TrialKind, Run][] } {
  const yard = drawYard(seed);
  const day = sunDay(yard);
  const judged = judgeTrial(day.asked);
  const share = 0.85 + 0.3 * ((seed * 0.618) % 1);
  const other = seed + 500_000;
  const how = seed % 2 === 0 ? 'alternated' : 'ports';
  const sets = judgeTrial(twoSets(drawYard(other), how, share));
  return {
    runs: [
      [
        'solar',
        {
          good: judged.phase === 'done',
          held: [
            ...heldOf('solar: Wh harvested', figure(judged, 'harvestWh'), day.harvestWh * yard.gain),
            ...heldOf('solar: % of clear sky', figure(judged, 'ofClearSkyPct'), (100 * day.harvestWh) / day.clearWh),
          ],
        },
      ],
      [
        'twoSets',
        {
          // Under broken clouds turns say nothing, and that is said.
          good: sets.phase === 'done' || (how === 'alternated' && drawYard(other).kind === 'broken'),
          held: heldOf(`two sets: B of A % (${how})`, figure(sets, 'bOfAPct'), 100 * share),
        },
      ],
    ],
  };
}

export function prove(seed: number): Proved {
  const hidden = drawHidden(seed);
  const sun = underTheSun(seed);
  const curve = converter(hidden, seed);
  const all: [TrialKind, Run][] = [
    ...usableAndCharge(hidden, seed).runs,
    ['ownDraw', ownDraw(hidden, seed)],
    ['converter', curve],
    ...sun.runs,
  ];
  return {
    held: all.flatMap(([, run]) => run.held),
    curves: curve.curves,
    notGood: all.filter(([, run]) => !run.good).map(([kind]) => kind),
  };
}
