/** The sentence of Plan, and the line below it: how long, from where, and the month in which the sun keeps up least. */
import type { Range } from '#energy/estimates/plan/lasting';
import type { PlanAnswer, PlanSettings } from '#messages';
import { asText, type Formats, GAP } from '../../../format.ts';
import * as words from '../../../words/plan.ts';
import { type Reckoned, worstOf } from './reckoned.ts';

/** Enough of ten not to speak of a month. */
const NEARLY_ALL = 9;

/** Hours as told: minutes below three hours, whole hours below two days, then days. */
export function hoursText(hours: number, way: 'near' | 'down' | 'up' = 'near'): string {
  const round = { near: Math.round, down: Math.floor, up: Math.ceil }[way];
  if (hours < 3) {
    const minutes = 5 * round((hours * 60) / 5);
    const [h, min] = [Math.floor(minutes / 60), minutes % 60];
    if (h === 0) return `${min}${GAP}min`;
    return min === 0 ? `${h}${GAP}h` : `${h}${GAP}h ${min}${GAP}min`;
  }
  if (hours < 48) return `${round(hours)}${GAP}h`;
  const days = round(hours / 12) / 2;
  return days < 10 && days % 1 !== 0 ? `${Math.floor(days)}½${GAP}days` : `${Math.floor(days)}${GAP}days`;
}

/** `14 h, at least 11`: the unit once where both have the same. */
export function leastOf({ p50, p10 }: Range): [middle: string, least: string] {
  const [middle, least] = [hoursText(p50), hoursText(p10, 'down')];
  const [unit, other] = [middle.split(GAP), least.split(GAP)];
  const short = unit.length === 2 && other.length === 2 && unit[1] === other[1] && unit[1] === 'h';
  return [middle, short ? other[0]! : least];
}

export interface Said {
  headline: string;
  sure: string[];
}

export function planSentence(
  basis: PlanAnswer,
  plan: PlanSettings,
  { verdict, lasting, running, sun }: Reckoned,
  formats: Formats,
  monthName: (month: number) => string,
): Said {
  if (plan.load.length === 0) return { headline: words.EMPTY, sure: [words.EMPTY_SURE] };
  if (lasting === null) return { headline: words.NO_SIZE, sure: [words.NO_SIZE_SURE] };
  const big = plan.load.filter(load => !running.includes(load));
  const [middle, least] = leastOf(lasting.full);
  const sure = [words.fromFull(asText(formats.percent(basis.full.fromPct)), asText(formats.percent(basis.full.toPct)))];
  if (verdict.runsTogether === false && big.length === 0) sure.unshift(words.NOT_AT_ONCE);
  if (sun === null) sure.push(words.NO_PLACE);
  else if (running.length > 0) {
    const worst = worstOf(sun);
    sure.push(
      worst.inTen >= NEARLY_ALL
        ? words.ALWAYS_KEEPS_UP
        : words.worstMonth(monthName(worst.month), Math.round(worst.inTen)),
    );
  }
  if (big.length === 0) return { headline: words.runsFor(middle, least), sure };
  if (running.length > 0) sure.unshift(words.restRuns(middle, least));
  return {
    headline: big.length === 1 ? words.tooBig(big[0]!.name) : words.tooBigMany(big.length),
    sure: running.length > 0 ? sure : [],
  };
}
