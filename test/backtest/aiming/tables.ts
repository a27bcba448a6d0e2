/** What the judge and the naive rule said of walks, against the truth: counts and shares by sky. */
import { DIFFERS_SHARE, isRight, type Judged } from './judged.ts';

export interface Tally {
  readonly walks: number;
  readonly right: number;
  readonly wrong: number;
  readonly undecided: number;
  /** Of walks whose spots truly differ by 5 %. */
  readonly differ: number;
  readonly differDecided: number;
}

const decided = (kind: string): kind is 'better' | 'worse' => kind === 'better' || kind === 'worse';

/** What was said of a walk, and the truth of the moment it was said in. */
type Said = (j: Judged) => { kind: string; truth: number };

export const SAID: readonly [string, Said][] = [
  ['judge, by 60 s', j => ({ kind: j.inTime, truth: j.inTimeTruth })],
  ['first said in 120 s', j => ({ kind: j.first?.kind ?? 'none', truth: j.first?.truth ?? 0 })],
  ['and back again', j => j.first ?? { kind: j.back ?? 'none', truth: j.backTruth }],
  ['higher watts win', j => ({ kind: j.naive, truth: j.naiveTruth })],
];

export function tally(of: readonly Judged[], saidBy: Said): Tally {
  const count = (when: (j: Judged) => boolean) => of.filter(when).length;
  const right = count(j => {
    const { kind, truth } = saidBy(j);
    return decided(kind) && isRight(kind, truth);
  });
  const some = count(j => decided(saidBy(j).kind));
  const differs = of.filter(j => Math.abs(j.truth) >= DIFFERS_SHARE);
  return {
    walks: of.length,
    right,
    wrong: some - right,
    undecided: of.length - some,
    differ: differs.length,
    differDecided: differs.filter(j => decided(saidBy(j).kind)).length,
  };
}

const pct = (part: number, of: number) => (of === 0 ? '–' : `${((100 * part) / of).toFixed(1)} %`);

const row = (name: string, t: Tally): string[] => [
  name,
  String(t.walks),
  String(t.right),
  String(t.wrong),
  String(t.undecided),
  pct(t.right, t.right + t.wrong),
  pct(t.differDecided, t.differ),
];

const HEAD = ['', 'walks', 'right', 'wrong', 'undecided', 'right of said', 'of ≥ 5 % decided'];

/** Confusion by sky, the judge at 60 s and ever within two minutes beside the naive rule. */
export function confusion(of: readonly Judged[]): string[][] {
  const rows = [HEAD];
  for (const kind of [...new Set(of.map(j => j.walk.kind)), 'all']) {
    const those = of.filter(j => kind === 'all' || j.walk.kind === kind);
    for (const [name, saidBy] of SAID) rows.push(row(`${kind}: ${name}`, tally(those, saidBy)));
  }
  return rows;
}

/** Truth by verdict. */
export function truthBySaid(of: readonly Judged[]): string[][] {
  const kinds = [...new Set(of.map(j => j.inTime))].sort();
  const classes: [string, (t: number) => boolean][] = [
    ['truly worse by ≥ 5 %', t => t <= -DIFFERS_SHARE],
    ['worse by less', t => t > -DIFFERS_SHARE && t < 0],
    ['alike', t => t === 0],
    ['better by less', t => t < DIFFERS_SHARE && t > 0],
    ['better by ≥ 5 %', t => t >= DIFFERS_SHARE],
  ];
  return [
    ['', ...kinds],
    ...classes.map(([name, is]) => [
      name,
      ...kinds.map(kind => String(of.filter(j => j.inTime === kind && is(j.truth)).length)),
    ]),
  ];
}

/** How often the range told at 60 s held the truth of that moment. */
export function held(of: readonly Judged[]): string[][] {
  return [
    ['', 'ranges told', 'held'],
    ...[...new Set(of.map(j => j.walk.kind))].map(kind => {
      const told = of.filter(j => j.walk.kind === kind && j.missBy !== null);
      return [kind, String(told.length), pct(told.filter(j => Math.abs(j.missBy!) <= 1).length, told.length)];
    }),
  ];
}
