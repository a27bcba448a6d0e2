/** The day's drawing as the chart element takes it: a plan for a size, and words for every place of the cursor. */
import type { Drawable } from '../../charts/time-chart.ts';
import { asText, type Formats, type Times } from '../../format.ts';
import * as words from '../../words/ledger-day.ts';
import { dayPlan } from './day-options.ts';
import { type DayGap, type DayParts, type DayPicture, dayPicture } from './day-picture.ts';

export interface DayDrawing extends Drawable {
  /** One sentence for those who do not see it. */
  summary: string;
  gaps: readonly DayGap[];
}

export function dayDrawable(parts: Omit<DayParts, 'widthPx'>): DayDrawing {
  const asTold = dayPicture({ ...parts, widthPx: 1200 });
  const { formats, times } = parts;
  return {
    plan: (palette, widthPx, heightPx, library) =>
      dayPlan(dayPicture({ ...parts, widthPx }), palette, widthPx, heightPx, library),
    count: asTold.columns.at.length,
    start: Math.floor(asTold.columns.at.length / 2),
    read: index => readAt(asTold, index, parts.nowMs, formats, times),
    summary: summaryOf(asTold, formats),
    gaps: asTold.gaps,
  };
}

function readAt({ columns, gaps }: DayPicture, index: number, nowMs: number, formats: Formats, times: Times): string {
  const at = columns.at[index];
  if (at === undefined) return '';
  const power = (value: number | null | undefined) => asText(formats.power(value ?? null));
  const clear = columns.clear[index] ?? null;
  const clearText = clear === null || clear < 0.5 ? null : power(clear);
  const time = times.time(at);
  if (at > nowMs) return words.readAhead(time, clearText);
  const values = [columns.level[index], columns.input[index], columns.output[index]];
  if (values.every(value => typeof value !== 'number'))
    return words.readDayGap(time, gaps.find(gap => at >= gap.fromMs && at < gap.toMs)?.reason ?? null);
  const level = asText(formats.percent(values[0] ?? null));
  return words.readDayAt(time, level, power(values[1]), power(values[2]), clearText);
}

function summaryOf({ columns, gaps }: DayPicture, formats: Formats): string {
  const numbers = (cells: readonly (number | null | undefined)[]) =>
    cells.filter((value): value is number => typeof value === 'number');
  const levels = numbers(columns.level);
  if (levels.length === 0) return words.daySummaryEmpty;
  const percent = (value: number) => asText(formats.percent(value));
  const peak = asText(formats.power(Math.max(0, ...numbers(columns.input))));
  return [
    words.daySummary(percent(Math.min(...levels)), percent(Math.max(...levels)), peak),
    gaps.length === 0 ? '' : words.gapsSummary(gaps.length),
    words.CURSOR_HELP,
  ]
    .filter(text => text !== '')
    .join(' ');
}
