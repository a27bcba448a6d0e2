/**
 * What is asked of the projection on recordings: each figure with what it must reach and what it aims at, without and
 * with a day's log before. The bars were set from a first prototype on other recordings of the same make.
 */

import type { Way } from '#energy/estimates/scoring/outcome';
import { afterTicks, CORE, coverageError, scoreTogether, type Together } from './gather.ts';
import type { Lived } from './live-through.ts';

export type Mode = 'no log' | 'log';

interface Range {
  least?: number;
  most?: number;
}

interface Bar {
  name: string;
  digits: number;
  of(score: Together): number | null;
  must: Record<Mode, Range>;
  aim: Record<Mode, Range>;
}

const both = (range: Range): Record<Mode, Range> => ({ 'no log': range, log: range });
const pct = (share: number | null) => (share === null ? null : 100 * share);

const BARS: readonly Bar[] = [
  {
    name: 'median error, %',
    digits: 1,
    of: s => s.medianAbsPctErrorOverall,
    must: { 'no log': { most: 14 }, log: { most: 12 } },
    aim: { 'no log': { most: 11 }, log: { most: 9 } },
  },
  ...(['75', '50', '25', '10'] as const).map(share => ({
    name: `  at ${share} % left`,
    digits: 1,
    of: (s: Together) => s.medianAbsPctError[share],
    must: both({}),
    aim: both({}),
  })),
  {
    name: 'within 20 %, %',
    digits: 0,
    of: s => pct(s.within20),
    must: { 'no log': { least: 60 }, log: { least: 66 } },
    aim: { 'no log': { least: 70 }, log: { least: 75 } },
  },
  {
    name: 'within 10 %, %',
    digits: 0,
    of: s => pct(s.within10),
    must: { 'no log': { least: 40 }, log: { least: 46 } },
    aim: { 'no log': { least: 52 }, log: { least: 56 } },
  },
  {
    name: 'range held',
    digits: 3,
    of: s => s.coverage80,
    must: both({ least: 0.75, most: 0.88 }),
    aim: both({ least: 0.77, most: 0.85 }),
  },
  {
    name: 'truth before p10',
    digits: 3,
    of: s => s.early,
    must: both({ most: 0.14 }),
    aim: both({ most: 0.11 }),
  },
  {
    name: 'width / truth',
    digits: 2,
    of: s => s.width,
    must: { 'no log': { most: 0.8 }, log: { most: 0.65 } },
    aim: { 'no log': { most: 0.65 }, log: { most: 0.5 } },
  },
  {
    name: 'silent from 60 min, %',
    digits: 1,
    of: s => pct(s.silent),
    must: { 'no log': { most: 15 }, log: { most: 5 } },
    aim: both({}),
  },
  {
    name: 'warning on time, %',
    digits: 0,
    of: s => pct(s.warning30.onTime),
    must: both({ least: 84 }),
    aim: both({ least: 90 }),
  },
  {
    name: '  15 min left, %',
    digits: 0,
    of: s => pct(s.warning30.usable),
    must: both({ least: 97 }),
    aim: both({}),
  },
  {
    name: '  90 min early, %',
    digits: 0,
    of: s => pct(s.warning30.tooEarly),
    must: both({}),
    aim: both({ most: 8 }),
  },
  {
    name: 'drift, min in 10 min',
    digits: 1,
    of: s => s.driftMin,
    must: both({ most: 5 }),
    aim: both({ most: 3 }),
  },
  {
    name: '  over 10 min',
    digits: 1,
    of: s => s.drift10Min,
    must: both({}),
    aim: both({}),
  },
  {
    name: 'CRPS / truth',
    digits: 3,
    of: s => s.crps,
    must: { 'no log': { most: 0.22 }, log: { most: 0.14 } },
    aim: { 'no log': { most: 0.17 }, log: { most: 0.11 } },
  },
  {
    name: 'interval score / truth',
    digits: 2,
    of: s => s.intervalScore,
    must: both({}),
    aim: both({}),
  },
  {
    name: 'relative accuracy',
    digits: 2,
    of: s => s.relativeAccuracy,
    must: { 'no log': { least: 0.7 }, log: { least: 0.76 } },
    aim: { 'no log': { least: 0.75 }, log: { least: 0.8 } },
  },
];

const KIND_MUST = 0.65;
const KIND_AIM = 0.7;
const CONST_MUST = 5;
const CONST_AIM = 3;

const cell = (value: number | null, digits: number) => (value === null ? '–' : value.toFixed(digits));

const barText = ({ least, most }: Range) =>
  least !== undefined && most !== undefined
    ? `${least}-${most}`
    : least !== undefined
      ? `≥ ${least}`
      : most !== undefined
        ? `≤ ${most}`
        : '';

const reaches = (value: number, { least, most }: Range) =>
  value >= (least ?? Number.NEGATIVE_INFINITY) && value <= (most ?? Number.POSITIVE_INFINITY);

/** What a figure is against its bars: nothing to say, the aim, the must, or missed. */
function verdict(value: number | null, must: Range, aim: Range): string {
  if (value === null || (barText(must) === '' && barText(aim) === '')) return '';
  if (!reaches(value, must)) return 'MISSED';
  return reaches(value, aim) && barText(aim) !== '' ? 'aim' : 'must';
}

const PLAIN: readonly Way[] = ['mean60Less', 'naive', 'mean5', 'mean15', 'mean60', 'hull'];

/** Every figure of the core kinds, its bars, and the plain ways in the same run. */
export function barRows(mode: Mode, lives: readonly Lived[]): string[][] {
  const core = lives.filter(lived => CORE.includes(lived.case.kind));
  const own = scoreTogether('projection', core);
  const plain = PLAIN.map(way => scoreTogether(way, core));
  const constant = afterTicks(core.filter(lived => lived.case.kind === 'const'));
  return [
    ['core kinds', 'wattkeep', 'must', 'aim', '', '60 × .85', 'moment', '5 min', '15 min', '60 min', 'hull'],
    ...BARS.map(bar => {
      const [must, aim] = [bar.must[mode], bar.aim[mode]];
      const value = bar.of(own);
      return [
        bar.name,
        cell(value, bar.digits),
        barText(must),
        barText(aim),
        verdict(value, must, aim),
        ...plain.map(score => cell(bar.of(score), bar.digits)),
      ];
    }),
    [
      'constant load after 8 ticks, %',
      cell(constant, 1),
      barText({ most: CONST_MUST }),
      barText({ most: CONST_AIM }),
      verdict(constant, { most: CONST_MUST }, { most: CONST_AIM }),
      ...PLAIN.map(() => ''),
    ],
    ['PIT deciles', (own.pitDeciles ?? []).map(share => share.toFixed(2)).join(' ')],
  ];
}

/** One row a kind. Its coverage is judged less one standard error over recordings. */
export function kindRows(lives: readonly Lived[]): string[][] {
  const kinds = [...new Set(lives.map(lived => lived.case.kind))];
  return [
    [
      'kind',
      'cases',
      'points',
      'error %',
      '60 × .85',
      'moment',
      'in 20 %',
      'in 10 %',
      'held',
      '± 1 se',
      '',
      'early',
      'width',
      'drift',
      'silent',
      'warned',
      'CRPS',
    ],
    ...kinds.map(kind => {
      const of = lives.filter(lived => lived.case.kind === kind);
      const s = scoreTogether('projection', of);
      const se = coverageError(of);
      const most = s.coverage80 === null ? null : s.coverage80 + (se ?? 0);
      return [
        kind,
        String(of.length),
        String(s.points),
        cell(s.medianAbsPctErrorOverall, 1),
        cell(scoreTogether('mean60Less', of).medianAbsPctErrorOverall, 1),
        cell(scoreTogether('naive', of).medianAbsPctErrorOverall, 1),
        cell(pct(s.within20), 0),
        cell(pct(s.within10), 0),
        cell(s.coverage80, 3),
        cell(se, 3),
        CORE.includes(kind) ? verdict(most, { least: KIND_MUST }, { least: KIND_AIM }) : '',
        cell(s.early, 3),
        cell(s.width, 2),
        cell(s.driftMin, 1),
        cell(pct(s.silent), 0),
        cell(pct(s.warning30.onTime), 0),
        cell(s.crps, 3),
      ];
    }),
  ];
}
