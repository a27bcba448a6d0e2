/** Outlast's sentence and the line below it. Pure. */
import type { OutlastAnswer } from '#messages';
import { asText, type Formats, spanText, type Times } from '../../format.ts';
import * as words from '../../words/outlast.ts';
import type { Piece } from '../now/sentence.ts';

export interface Told {
  answer: OutlastAnswer;
  /** By the agent's wall clock, epoch ms. */
  nowAt: number;
  /** Age of the last reading where it no longer holds, ms, `never` where there is none; null while it does. */
  staleMs: number | 'never' | null;
  formats: Formats;
  times: Times;
}

/** Chances in twenty at which there is nothing left to suggest. */
const SURE = 18;

export function outlastSentence({ answer, nowAt, staleMs, formats, times }: Told): { headline: string; sure: Piece[] } {
  if (staleMs === 'never') return { headline: words.SILENT.neverRead[0], sure: [{ text: words.SILENT.neverRead[1] }] };
  if (staleMs !== null)
    return {
      headline: words.tooOld(spanText(staleMs, value => formats.number(value, 1))),
      sure: [{ text: words.SILENT.stale[1] }],
    };
  const { why, chances } = answer;
  if (chances === null) {
    const [headline, missing] = words.SILENT[why === 'ok' || why === 'atFull' || why === 'atFloor' ? 'noHistory' : why];
    return { headline, sure: [{ text: missing }] };
  }
  if (why === 'atFloor' && chances === 0) return { headline: words.AT_FLOOR, sure: leavingOff(answer, formats) };
  const moment = times.moment(Date.parse(answer.untilAt), nowAt);
  const headline = answer.onMains ? words.wouldReach(moment, chances) : words.reaches(moment, chances);
  const sure = chances >= SURE ? [{ text: words.SURE_ENOUGH }] : leavingOff(answer, formats);
  return { headline, sure: answer.early ? [...sure, { text: ` ${words.EARLY}` }] : sure };
}

/** "With the warmer off, 7 in 20; the lamp off too, 17 in 20." */
function leavingOff({ steps }: OutlastAnswer, formats: Formats): Piece[] {
  if (steps.length === 0) return [];
  const pieces = steps.flatMap(({ names, powersW, chances }, i): Piece[] => {
    const name = names.at(-1) ?? null;
    const what = name === null ? words.whatDraws(asText(formats.power(powersW.at(-1)!))) : words.the(name);
    return [{ text: words.withOff(what, i === 0) }, { text: words.inTwenty(chances), strong: true }];
  });
  return [...pieces, { text: '.' }];
}

/** `+2 h 50 min`, to five minutes: finer would be a promise. */
export function addedText(addsMin: number): string {
  const rounded = Math.round(addsMin / 5) * 5;
  return rounded === 0 ? words.HARDLY : words.longer(spanText(rounded * 60_000));
}
