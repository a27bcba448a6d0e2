/** Two sides in words: a sentence with the difference, how sure it is, and a table. */
import { asText, type Formats, GAP, MINUS, MISSING } from '../../format.ts';
import * as words from '../../words/ledger-beside.ts';
import { type Beside, isPerKw, meansOf, type SideSum } from './pairs.ts';

/** Differences below this are none, share. */
const ALIKE_WITHIN = 0.005;

export interface Told {
  headline: string;
  sure: string;
}

export function besideTold(beside: Beside, [one, other]: readonly [string, string], formats: Formats): Told {
  const count = (n: number) => formats.number(n, 0);
  const percent = (value: number) => asText(formats.percent(Math.floor(value)));
  const [a, b] = beside.sums;
  const covered = words.coverage(percent(a.coveragePct), percent(b.coveragePct)).trim();
  if (beside.common === 0) return { headline: words.NOT_ONE_DAY, sure: covered };
  const perKw = isPerKw(beside);
  const [oneMean, otherMean] = meansOf(beside);
  const mean = (value: number) =>
    perKw ? `${formats.number(value, 2)}${GAP}${words.scaleYield}` : asText(formats.energy(value));
  const sure = [
    words.commonDays(count(beside.common), mean(oneMean), mean(otherMean)),
    words.leftOut(beside.leftOut, count(beside.leftOut)),
    ` ${covered}`,
    beside.byDate ? words.byDate : words.byNumber,
    perKw ? '' : words.NO_RATING,
  ].join('');
  return { headline: headlineOf(oneMean, otherMean, [one, other], perKw, formats), sure };
}

function headlineOf(
  oneMean: number,
  otherMean: number,
  [one, other]: readonly [string, string],
  perKw: boolean,
  formats: Formats,
): string {
  if (oneMean === 0 && otherMean === 0) return words.nothing(one, other);
  if (oneMean === 0 || otherMean === 0) return oneMean === 0 ? words.onlyOne(other, one) : words.onlyOne(one, other);
  const share = oneMean / otherMean - 1;
  if (Math.abs(share) < ALIKE_WITHIN) return words.same(one, perKw, other);
  const text = asText(formats.percent(Math.max(1, Math.abs(share) * 100)));
  return share > 0 ? words.more(one, text, perKw, other) : words.less(one, text, perKw, other);
}

export type BesideRow = [name: string, one: string, other: string, difference: string];

/** @param money writes amounts of both, null where one has no tariff or theirs differ */
export function besideRows(beside: Beside, formats: Formats, money: ((amount: number) => string) | null): BesideRow[] {
  const [a, b] = beside.sums;
  const row = (name: string, pick: (sum: SideSum) => number | null, text: (value: number) => string): BesideRow[] => {
    const [one, other] = [pick(a), pick(b)];
    if (one === null && other === null) return [];
    const told = (value: number | null) => (value === null ? MISSING : text(value));
    return [[name, told(one), told(other), differenceOf(one, other, formats)]];
  };
  const energy = (wh: number) => asText(formats.energy(wh));
  const hours = (value: number) => formats.number(value, 2);
  const percent = (value: number) => asText(formats.percent(Math.floor(value)));
  const days = formats.number(beside.common, 0);
  const aDay = (value: number | null) => (value === null || beside.common === 0 ? null : value / beside.common);
  return [
    [words.ROWS.days, days, days, ''],
    ...row(words.ROWS.harvest, sum => (beside.common === 0 ? null : sum.harvestWh), energy),
    ...row(words.ROWS.yieldH, sum => sum.yieldH, hours),
    ...row(words.ROWS.yieldADay, sum => aDay(sum.yieldH), hours),
    ...row(
      words.ROWS.ratio,
      sum => sum.ratio,
      value => asText(formats.percent(100 * value)),
    ),
    ...row(words.ROWS.coverage, sum => sum.coveragePct, percent).map(
      ([n, one, other]): BesideRow => [n, one, other, ''],
    ),
    ...(money === null ? [] : row(words.ROWS.worth, sum => sum.worth, money)),
  ];
}

function differenceOf(one: number | null, other: number | null, formats: Formats): string {
  if (one === null || other === null || other === 0) return '';
  const share = (one / other - 1) * 100;
  const sign = Math.abs(share) < 0.05 ? '' : share < 0 ? MINUS : '+';
  return `${sign}${formats.number(Math.abs(share), 1)}${GAP}%`;
}
