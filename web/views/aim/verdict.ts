/**
 * The one sentence of Aim: what can be said of this spot against another, with its number, its range and what the sun
 * explains. Pure: words from the judgement as it was told, nothing judged here.
 */
import type { WireAim, WireMark } from '#messages';
import { asText, type Formats, spanText } from '../../format.ts';
import * as words from '../../words/aim.ts';
import { giveOrTake } from './figure-text.ts';

export interface Verdict {
  strong: string;
  rest: string;
  /** Changes only when what is meant does: what screen readers are told by. */
  meaning: string;
}

const said = ([strong, rest]: readonly string[], meaning: string): Verdict => ({
  strong: strong!,
  rest: rest ?? '',
  meaning,
});

/** Less than this is not worth a word. */
const LEAST_SUN_W = 0.5;

/** What stands where a verdict would, while the figure cannot be relied on. @param ageMs null: there never was one */
export const staleVerdict = (ageMs: number | null, decimal: (value: number) => string): Verdict =>
  said(ageMs === null ? words.NEVER_READ : words.notRead(spanText(ageMs, decimal)), 'stale');
export const typedVerdict = (): Verdict => said(words.TYPED, 'typed');
export const waitingVerdict = (): Verdict => said([words.LOADING], 'waiting');

export function verdictOf({ verdict, marks, quantity }: WireAim, formats: Formats): Verdict {
  if (quantity === null) return said(words.NO_INPUT, 'noInput');
  const held = (texts: readonly string[]): Verdict => {
    const hold = verdict.holdMs === null ? '' : words.holdAbout(spanText(roundedHold(verdict.holdMs), whole));
    return said([texts[0]!, texts[1]! + hold], verdict.kind);
  };
  switch (verdict.kind) {
    case 'none':
      return said(marks.length === 0 ? words.NONE : words.ONE_ONLY(newest(marks).letter), `none ${marks.length}`);
    case 'dark':
      return said(words.DARK, 'dark');
    case 'settling':
      return held(words.SETTLING);
    case 'holding':
      return held(words.HOLDING);
    case 'clouds':
      return held(words.CLOUDS);
    case 'warming':
      return held(words.WARMING);
    case 'goBack':
      return said(words.goBack(verdict.than), `goBack ${verdict.than}`);
    case 'limited':
      return said(words.limited(verdict.limitedBy), `limited ${verdict.limitedBy}`);
    case 'better':
    case 'worse':
    case 'same':
      return compared(verdict, formats);
  }
}

function compared({ kind, here, than, differenceW, giveOrTakeW, sunExplainsW }: WireAim['verdict'], formats: Formats) {
  const watts = (value: number | null) => asText(formats.power(value === null ? null : Math.abs(value)));
  const [one, other] = [here ?? words.HERE, than ?? ''];
  const meaning = `${kind} ${here} ${than}`;
  if (kind === 'same') {
    const range =
      differenceW === null || giveOrTakeW === null
        ? ''
        : words.byChance(watts(differenceW), giveOrTake(giveOrTakeW, formats));
    return said([words.alike(one, other), `${range}.`], meaning);
  }
  const say = kind === 'better' ? words.better : words.worse;
  const range = giveOrTakeW === null ? '' : words.giveOrTake(giveOrTake(giveOrTakeW, formats));
  return said([say(one, other, watts(differenceW)), `${range}${sunTold(sunExplainsW, watts)}.`], meaning);
}

function sunTold(explainsW: number | null, watts: (value: number) => string): string {
  if (explainsW === null || Math.abs(explainsW) < LEAST_SUN_W) return '';
  return explainsW > 0 ? words.climbed(watts(explainsW)) : words.sank(watts(explainsW));
}

const whole = (value: number): string => value.toFixed(0);

/** Counted down in steps that can be read: by five seconds, above a minute and a half by half minutes. */
const roundedHold = (ms: number): number => {
  const step = ms > 90_000 ? 30_000 : 5_000;
  return Math.max(step, Math.ceil(ms / step) * step);
};

/** The mark made last. */
export const newest = (marks: readonly WireMark[]): WireMark => marks.reduce((a, b) => (b.id > a.id ? b : a));
