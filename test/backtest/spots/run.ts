/**
 * `npm run backtest -- skyline [--every-nth N]`: two weeks of mixed weather at spots with known skylines, on the plant,
 * whose clear sky, light on the plane, heat and glass are others than those learned with; what was then told of sun and
 * shade against the truth, by patches of sky, by the next day's clock, the edge and the foretold changes. Then thin
 * evidence, and what folding in a long record costs.
 */
import { CONDITIONS, SCENES, SEASONS } from '../../support/spot-scenes.ts';
import {
  byClock,
  byPatch,
  type Confusion,
  edgeErrors,
  type Foretelling,
  foretellings,
  type Lived,
  liveAtSpot,
  noConfusion,
  type Trial,
} from '../../support/spot-trial.ts';

type Print = (title: string, rows: readonly string[][]) => void;

/** Fixed before the first look; what was tuned was tuned on seeds 1 to 4, and once after a look at 201 to 203. */
const SEEDS = [301, 302, 303] as const;
const HARD_SEEDS = [311] as const;
const DAYS = 14;
const LONG_DAYS = 90;
const PROGRESS_MS = 10_000;
const EDGE_WITHIN_DEG = 5;

interface Sum {
  trials: number;
  clearDays: number;
  patches: Confusion;
  clock: Confusion;
  edges: number[];
  changes: Foretelling[];
}

const nothing = (): Sum => ({
  trials: 0,
  clearDays: 0,
  patches: noConfusion(),
  clock: noConfusion(),
  edges: [],
  changes: [],
});

function add(sum: Sum, lived: Lived): void {
  sum.trials++;
  sum.clearDays += lived.sky.clearDays;
  byPatch(lived, sum.patches);
  byClock(lived, sum.clock);
  sum.edges.push(...edgeErrors(lived));
  sum.changes.push(...foretellings(lived));
}

const percent = (part: number, whole: number): string => (whole === 0 ? '–' : ((100 * part) / whole).toFixed(1));

const told = (c: Confusion): string[] => [
  percent(c.shadeTold, c.shadeTold + c.shadeAsSun),
  percent(c.sunAsShade, c.sunTold + c.sunAsShade),
  percent(c.shadeTold + c.shadeAsSun, c.shadeTold + c.shadeAsSun + c.shadeUnknown),
  percent(c.sunTold + c.sunAsShade, c.sunTold + c.sunAsShade + c.sunUnknown),
];

function at(values: readonly number[], share: number): string {
  const sorted = [...values].sort((a, b) => a - b);
  return sorted.length === 0 ? '–' : sorted[Math.min(sorted.length - 1, Math.floor(share * sorted.length))]!.toFixed(1);
}

const TOLD_HEAD = [
  '',
  'trials',
  'clear days',
  'patches: shade hit %',
  'false alarm %',
  'shade known %',
  'sun known %',
  'clock: shade hit %',
  'false alarm %',
  'shade known %',
  'sun known %',
];

const toldRow = (name: string, sum: Sum): string[] => [
  name,
  String(sum.trials),
  (sum.clearDays / sum.trials).toFixed(1),
  ...told(sum.patches),
  ...told(sum.clock),
];

const FOUND_HEAD = [
  '',
  'edges',
  'middle error °',
  'within 5° %',
  'foretold',
  'middle error min',
  'nine in ten',
  'held %',
  'middle range min',
];

function foundRow(name: string, { edges, changes }: Sum): string[] {
  const errors = changes.map(({ errorMin }) => Math.abs(errorMin));
  const ranges = changes.map(({ giveOrTakeMin }) => giveOrTakeMin);
  return [
    name,
    String(edges.length),
    at(edges, 0.5),
    percent(edges.filter(deg => deg <= EDGE_WITHIN_DEG).length, edges.length),
    String(changes.length),
    at(errors, 0.5),
    at(errors, 0.9),
    percent(changes.filter((_, i) => errors[i]! <= ranges[i]!).length, changes.length),
    at(ranges, 0.5),
  ];
}

function* trials(every: number): Generator<Trial> {
  let k = 0;
  for (const condition of CONDITIONS)
    for (const scene of SCENES)
      for (const season of SEASONS)
        for (const seed of condition.name === 'plain' ? SEEDS : HARD_SEEDS)
          if (k++ % every === 0) yield { scene, season, condition, seed, days: DAYS, stepS: 60 };
}

export function backtestSkyline(every: number, print: Print): void {
  const all = new Map<string, Sum>();
  const sumOf = (group: string): Sum => {
    const sum = all.get(group) ?? nothing();
    all.set(group, sum);
    return sum;
  };
  let [saidAt, done] = [performance.now(), 0];
  for (const trial of trials(every)) {
    const lived = liveAtSpot(trial);
    const { condition, scene, season } = trial;
    add(sumOf(`condition|${condition.name}`), lived);
    if (condition.name === 'plain') {
      add(sumOf(`skyline|${scene.name}`), lived);
      add(sumOf(`season|${season.name}`), lived);
    }
    done++;
    if (performance.now() - saidAt < PROGRESS_MS) continue;
    saidAt = performance.now();
    console.error(`${done} fortnights`);
  }
  for (const group of ['condition', 'skyline', 'season'] as const) {
    const sums = [...all].flatMap(([key, sum]) =>
      key.startsWith(`${group}|`) ? [[key.split('|')[1]!, sum] as const] : [],
    );
    const title = `${DAYS} days at a spot, by ${group}${group === 'condition' ? '' : ', plain'}`;
    print(`${title}: sun and shade told`, [TOLD_HEAD, ...sums.map(([name, sum]) => toldRow(name, sum))]);
    print(`${title}: edges and changes`, [FOUND_HEAD, ...sums.map(([name, sum]) => foundRow(name, sum))]);
  }
  print('thin evidence: changes and edges told', thinRows());
  print(`folding in ${LONG_DAYS} days`, costRows());
}

/** After one and two days nothing of shade may be told. */
function thinRows(): string[][] {
  const plain = CONDITIONS[0]!;
  const rows = [1, 2].map(days => {
    let [changes, edges, shade] = [0, 0, 0];
    for (const scene of SCENES)
      for (const season of SEASONS) {
        const { sky } = liveAtSpot({ scene, season, condition: plain, seed: SEEDS[0], days, stepS: 60 });
        if (sky.next !== null) changes++;
        edges += (sky.skyline ?? []).filter(({ edgeDeg }) => edgeDeg !== null).length;
        shade += (sky.strip ?? []).filter(({ is }) => is === 'shade').length;
      }
    return [String(days), String(changes), String(edges), String(shade)];
  });
  return [['days', 'changes', 'edges', 'shade'], ...rows];
}

function costRows(): string[][] {
  const lived = liveAtSpot({
    scene: SCENES[0]!,
    season: SEASONS[0]!,
    condition: CONDITIONS[0]!,
    seed: SEEDS[0],
    days: LONG_DAYS,
    stepS: 60,
  });
  const packed = JSON.stringify(lived.learning.pack()).length;
  return [
    ['minutes', 'CPU ms', 'packed kB'],
    [String(lived.minutes), lived.cpuMs.toFixed(0), (packed / 1000).toFixed(0)],
  ];
}
