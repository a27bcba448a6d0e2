/** The Now drawing as the chart element takes it: a plan for a size, and words for every place of the cursor. */
import { AXIS_PX, nowPlan } from '../../charts/now-options.ts';
import { type NowPicture, nowPicture, type PictureParts } from '../../charts/now-picture.ts';
import type { Drawable } from '../../charts/time-chart.ts';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words.ts';

export interface NowDrawing extends Drawable {
  heightPx: number;
  /** One sentence for those who do not see it. */
  summary: string;
  /** Whole hours of the drawing in numbers. */
  rows: string[][];
  gaps: NowPicture['gaps'];
}

const HEIGHT_PX = 347 + AXIS_PX;
const NARROW_HEIGHT_PX = 301 + AXIS_PX;

export function nowDrawable(parts: Omit<PictureParts, 'widthPx'>, narrow: boolean): NowDrawing {
  const { formats, times } = parts;
  const asTold = nowPicture({ ...parts, widthPx: narrow ? 360 : 1200 });
  const { columns } = asTold;
  return {
    heightPx: narrow ? NARROW_HEIGHT_PX : HEIGHT_PX,
    plan: (palette, widthPx, heightPx, library) =>
      nowPlan(nowPicture({ ...parts, widthPx }), palette, widthPx, heightPx, library),
    count: columns.at.length,
    start: Math.max(0, columns.aheadFrom - 1),
    read: index => readAt(asTold, index, formats, times),
    summary: summaryOf(asTold, formats, times),
    rows: hourlyRows(asTold, formats, times),
    gaps: asTold.gaps,
  };
}

function readAt({ columns, span, gaps }: NowPicture, index: number, formats: Formats, times: Times): string {
  const at = columns.at[index];
  if (at === undefined) return '';
  const percent = (value: number | null | undefined) => asText(formats.percent(value ?? null));
  const time = times.moment(at, span.nowMs);
  const { fan } = columns;
  if (index >= columns.aheadFrom)
    return words.readAhead(time, percent(fan.p10[index]), percent(fan.p50[index]), percent(fan.p90[index]));
  const values = [columns.level[index], columns.input[index], columns.output[index]];
  if (values.every(value => typeof value !== 'number'))
    return words.readGap(time, gaps.find(gap => at >= gap.fromMs && at < gap.toMs)?.reason ?? null);
  const power = (value: number | null | undefined) => asText(formats.power(value ?? null));
  return words.readPast(time, percent(values[0]), power(values[1]), power(values[2]));
}

function summaryOf({ columns, span, range, gaps }: NowPicture, formats: Formats, times: Times): string {
  const seen = columns.level.filter(value => typeof value === 'number');
  if (seen.length === 0) return words.summaryEmpty;
  const percent = (value: number) => asText(formats.percent(value));
  const past = words.summaryPast(
    times.moment(columns.at[0]!, span.nowMs),
    percent(Math.min(...seen)),
    percent(Math.max(...seen)),
    percent(seen.at(-1)!),
  );
  const ahead =
    range === null ? '' : words.summaryAhead(percent(range.percent), range.promised.label, range.middle?.label ?? null);
  return [
    past,
    ahead,
    gaps.length === 0
      ? ''
      : words.summaryGaps(gaps.length, [...new Set(gaps.flatMap(gap => gap.reason ?? []))].join('; ')),
    words.CURSOR_HELP,
  ]
    .filter(t => t !== '')
    .join(' ');
}

/** One row for each whole hour: what was, then what is likely. */
function hourlyRows({ columns, span }: NowPicture, formats: Formats, times: Times): string[][] {
  const rows: string[][] = [];
  let lastHour = '';
  columns.at.forEach((at, i) => {
    const hour = `${times.date(at)} ${times.hour(at)}`;
    if (hour === lastHour) return;
    lastHour = hour;
    const percent = (value: number | null | undefined) => asText(formats.percent(value ?? null));
    const power = (value: number | null | undefined) => asText(formats.power(value ?? null));
    const ahead = i >= columns.aheadFrom;
    const left = ahead
      ? words.aheadCell(percent(columns.fan.p10[i]), percent(columns.fan.p90[i]))
      : percent(columns.level[i]);
    rows.push([times.moment(at, span.nowMs), left, power(columns.input[i]), power(columns.output[i])]);
  });
  return rows;
}
