/** The chain behind Aim's sentence: what was measured, since when, what was taken out, and what a range means. Pure. */
import type { WireAim, WireMark } from '#messages';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/aim-why.ts';
import { giveOrTake } from './figure-text.ts';

export function whyLines({ here, marks, verdict, sky, reference }: WireAim, formats: Formats, times: Times): string[] {
  const watts = (value: number) => asText(formats.power(value));
  const at = (iso: string) => times.time(Date.parse(iso));
  const lines: string[] = [];
  if (here === null) lines.push(words.NOT_SETTLED);
  else lines.push(words.here(watts(here.meanW), giveOrTake(here.giveOrTakeW, formats), at(here.sinceAt)));
  const than = marks.find(({ letter }) => letter === verdict.than);
  if (than !== undefined) lines.push(markTold(than, watts, at));
  if (than !== undefined) lines.push(verdict.sunExplainsW === null ? words.SUN_LEFT_IN : words.SUN_TAKEN_OUT);
  if (verdict.kind !== 'dark') lines.push(words.SKY[sky]);
  if (reference !== null) lines.push(words.beside(reference === 'port' ? words.OTHER_PORT : reference));
  return [...lines, words.RANGE, words.LEFT_OUT];
}

const markTold = (
  { letter, measured, now, at: when }: WireMark,
  watts: (w: number) => string,
  at: (iso: string) => string,
) =>
  now === null
    ? words.mark(letter, watts(measured.meanW), at(when))
    : words.markNow(letter, watts(measured.meanW), at(when), watts(now.meanW));
