/** Outlast's answer as the drawing takes it, and what the drawing says to those who do not see it. */

import { nightsIn } from '#energy/nights';
import type { OutlastAnswer } from '#messages';
import { layoutOutlast, type OutlastLayout } from '../../charts/outlast-layout.ts';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/outlast.ts';

const FAR_MS = 36 * 3_600_000;
/** The lowest point is told to the quarter of an hour: it is the middle of many courses. */
const QUARTER_MS = 15 * 60_000;

export function outlastLayout(
  answer: OutlastAnswer,
  place: { latitudeDeg: number; longitudeDeg: number } | null,
  times: Times,
  width: number,
  height: number,
): OutlastLayout {
  const nowAt = Date.parse(answer.madeAt);
  const targetAt = Date.parse(answer.untilAt);
  const far = targetAt - nowAt > FAR_MS;
  return layoutOutlast(
    {
      nowAt,
      targetAt,
      dots: answer.dots.map(at => (at === null ? null : Date.parse(at))),
      nights: nightsIn(nowAt, nowAt + 2 * (targetAt - nowAt), place),
      labelOf: at => (far ? `${times.weekday(times.date(at)).slice(0, 3)} ${times.hour(at)}` : times.time(at)),
      targetText: times.moment(targetAt, nowAt),
    },
    width,
    height,
  );
}

const quarter = (iso: string): number => Math.round(Date.parse(iso) / QUARTER_MS) * QUARTER_MS;

/** As far behind the hour asked for as that is ahead: the sun that comes after it is still of this question. */
const drawnUntil = ({ madeAt, untilAt }: OutlastAnswer): number => 2 * Date.parse(untilAt) - Date.parse(madeAt);

/** Below the drawing: what a dot means, the lowest point, when the outlets stop. */
export function captionOf(answer: OutlastAnswer, nowAt: number, formats: Formats, times: Times): string[] {
  const moment = (iso: string) => times.moment(Date.parse(iso), nowAt);
  const { lowest, stopsAt } = answer;
  return [
    words.DOT_MEANS,
    ...(lowest === null || Date.parse(lowest.at) > drawnUntil(answer)
      ? []
      : [words.lowestTold(asText(formats.percent(lowest.pct)), times.moment(quarter(lowest.at), nowAt))]),
    ...(stopsAt === null ? [] : [words.stopsTold(moment(stopsAt))]),
  ];
}

export function drawingSays(answer: OutlastAnswer, nowAt: number, times: Times): string {
  const known = answer.dots.filter(at => at !== null);
  const first = known[0];
  if (first === undefined) return words.ALL_RUNNING;
  const moment = (iso: string | null | undefined) =>
    iso === null || iso === undefined ? words.STILL_RUNNING : times.moment(Date.parse(iso), nowAt);
  return words.dotsSay(moment(first), moment(answer.dots[9]), answer.dots.length - known.length);
}
