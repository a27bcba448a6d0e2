/**
 * `npm run backtest -- trials [--every-nth N]`: stations with hidden true values through every kind of trial, how often
 * stated ranges held, two stations side by side, and what spoils trials.
 */
import { TRIAL_KINDS } from '#energy/estimates/trials/asked';
import { FAULTS } from './faults.ts';
import { type Tally, tallies } from './held.ts';
import { comparePair } from './pairs.ts';
import { type Proved, prove } from './proof.ts';
import { isGood, judgeRun } from './spoiled.ts';

type Print = (title: string, rows: readonly string[][]) => void;

/** Fixed before the first look; what was tuned was tuned on others. */
export const FIRST_SEED = 70_000;
export const STATIONS = 1000;
export const PAIRS = 400;
export const SPOILED_EACH = 25;
const PAIR_SEED = 75_000;
const SPOILED_SEED = 80_000;
const PROGRESS_MS = 10_000;

export const proveAll = (count: number): Proved[] => {
  let saidAt = performance.now();
  return Array.from({ length: count }, (_, k) => {
    if (performance.now() - saidAt > PROGRESS_MS) {
      saidAt = performance.now();
      console.error(`${k} of ${count} stations`);
    }
    return prove(FIRST_SEED + k);
  });
};

const share = (part: number, of: number) => (of === 0 ? '–' : `${((100 * part) / of).toFixed(1)} %`);

function tallyRows(of: readonly Tally[]): string[][] {
  return [
    ['', 'trials', 'held (93-97)', 'median error', '19 in 20', 'median %', '19 in 20 %', 'mean %', 'range ± %'],
    ...of.map(t => {
      // A share of what is about nothing says nothing.
      const pct = (x: number) => (t.name.includes('gain error') ? '–' : x.toFixed(2));
      return [
        t.name,
        String(t.count),
        `${(100 * t.heldShare).toFixed(1)} %`,
        t.medianError.toPrecision(3),
        t.p95Error.toPrecision(3),
        ...[t.medianErrorPct, t.p95ErrorPct, t.meanErrorPct, t.halfPct].map(pct),
      ];
    }),
  ];
}

function curveRows(of: readonly Proved[]): string[][] {
  const all = of.flatMap(p => p.curves);
  return [
    ['greatest error from 50 W up, points', 'curves', 'middle', '9 in 10', 'within 1.5'],
    ...[...new Set(all.map(c => c.by))].map(by => {
      const worst = all
        .filter(c => c.by === by)
        .map(c => c.worst)
        .sort((a, b) => a - b);
      return [
        by,
        String(worst.length),
        worst[worst.length >> 1]!.toFixed(2),
        worst[Math.floor(0.9 * worst.length)]!.toFixed(2),
        share(worst.filter(w => w <= 1.5).length, worst.length),
      ];
    }),
  ];
}

/** What was said of pairs: share of each verdict. */
export function pairVerdicts(count: number, holds: number) {
  const pairs = Array.from({ length: count }, (_, k) => comparePair(PAIR_SEED + k, holds));
  const of = (by: keyof (typeof pairs)[number], verdict: string) => pairs.filter(p => p[by] === verdict).length / count;
  return {
    byMeter: { same: of('byMeter', 'noDifference'), differs: of('byMeter', 'differs') },
    byOwnWatts: { same: of('byOwnWatts', 'noDifference'), differs: of('byOwnWatts', 'differs') },
  };
}

function pairRows(count: number): string[][] {
  const rows = [
    ['equal', 1],
    ['5 % apart', 0.95],
  ] as const;
  const pct = (x: number) => `${(100 * x).toFixed(1)} %`;
  return [
    ['', 'same meter: no difference', 'differs', 'own watts: no difference', 'differs'],
    ...rows.map(([name, holds]) => {
      const v = pairVerdicts(count, holds);
      return [name, pct(v.byMeter.same), pct(v.byMeter.differs), pct(v.byOwnWatts.same), pct(v.byOwnWatts.differs)];
    }),
  ];
}

/** Faults × kinds: how many were told as good. */
export function spoiledTold(each: number) {
  return FAULTS.flatMap(fault =>
    fault.of.map(kind => {
      const judged = Array.from({ length: each }, (_, k) => judgeRun(kind, fault, SPOILED_SEED + k));
      const said = [
        ...new Set(judged.flatMap(j => j.spoiledBy.filter(s => s.consequence === 'spoils').map(s => s.what))),
      ];
      return { fault: fault.name, kind, runs: each, good: judged.filter(isGood).length, said };
    }),
  );
}

export function backtestTrials(everyNth: number, print: Print): void {
  const stations = Math.ceil(STATIONS / everyNth);
  const proved = proveAll(stations);
  print(`${stations} stations with hidden values`, tallyRows(tallies(proved.flatMap(p => p.held))));
  print("the converter's curve", curveRows(proved));
  print('nothing was wrong, and it was not told as good', [
    ['', 'trials', 'not good'],
    ...TRIAL_KINDS.map(kind => [
      kind,
      String(stations),
      share(proved.filter(p => p.notGood.includes(kind)).length, stations),
    ]),
  ]);
  print(`${Math.ceil(PAIRS / everyNth)} pairs of stations, usable energy`, pairRows(Math.ceil(PAIRS / everyNth)));
  print('spoiled on purpose', [
    ['', 'trial', 'runs', 'told as good', 'what was said'],
    ...spoiledTold(Math.ceil(SPOILED_EACH / everyNth)).map(s => [
      s.fault,
      s.kind,
      String(s.runs),
      String(s.good),
      s.said.join(', '),
    ]),
  ]);
}
