/** The chain behind Outlast's sentence. */
import type { OutlastAnswer } from '#messages';
import { asText, type Formats, spanText } from '../../format.ts';
import * as words from '../../words/outlast.ts';

const MINUTE_MS = 60_000;

export function whyLines(answer: OutlastAnswer, formats: Formats): string[] {
  const { own } = answer;
  return [
    words.whyRecord(spanText(answer.recordedMin * MINUTE_MS)),
    ...(own === null || own.ticks < 3
      ? []
      : [words.whyGauge(formats.number(own.ticks, 0), asText(formats.power(own.powerW)))]),
    words.whyFloor(asText(formats.percent(answer.floorPct))),
    words.WHY_CUT,
    ...answer.doubts.map(doubt => words.DOUBTS[doubt]),
    words.WHY_SURPRISE,
  ];
}
