/** All that the day's drawing shows, decided: columns, night, gaps with their reason, marks, notes, and every label. */
import type { LedgerDayAnswer, SeriesAnswer, WireNote } from '#messages';
import { hourTicks, tickStepHours } from '../../charts/ticks.ts';
import { asText, type Formats, type Times } from '../../format.ts';
import { reasonOf, type SpanTold } from '../../state/gap-reasons.ts';
import * as words from '../../words/ledger-day.ts';
import { gapText } from '../../words/spans.ts';
import * as nowWords from '../../words.ts';
import { type DayColumns, dayColumns } from './day-columns.ts';

export interface Flag {
  at: number;
  label: string;
  /** A mark is a letter, a note a number. */
  kind: 'mark' | 'note';
}

export interface DayGap {
  fromMs: number;
  toMs: number;
  /** null: nobody said why. */
  reason: string | null;
}

export interface Moment {
  at: number;
  label: string;
}

export interface DayPicture {
  startMs: number;
  endMs: number;
  /** Within the day; null where it is over. */
  nowMs: number | null;
  nowLabel: string;
  columns: DayColumns;
  ticks: { at: number; label: string }[];
  nights: { fromMs: number; toMs: number; sunset: Moment | null; sunrise: Moment | null }[];
  gaps: DayGap[];
  outages: { fromMs: number; toMs: number }[];
  flags: Flag[];
  levels: { percent: number; label: string }[];
  rowLabels: { input: string; output: string };
  cutLabels: { at: number; label: string }[];
  clearLabel: string | null;
}

export interface DayParts {
  answer: LedgerDayAnswer;
  series: SeriesAnswer;
  leastGapMs: number | null;
  nowMs: number;
  widthPx: number;
  formats: Formats;
  times: Times;
}

const NARROW_PX = 560;

export const spansTold = (spans: LedgerDayAnswer['spans']): SpanTold[] =>
  spans.map(({ reason, fromAt, toAt, note }) => ({
    reason,
    note,
    fromMs: Date.parse(fromAt),
    toMs: toAt === null ? null : Date.parse(toAt),
  }));

export function dayPicture(parts: DayParts): DayPicture {
  const { answer, formats, times, nowMs, widthPx } = parts;
  const [startMs, endMs] = [Date.parse(answer.startAt), Date.parse(answer.endAt)];
  const columns = dayColumns(parts.series, answer.clearSky, { startMs, endMs, nowMs }, parts.leastGapMs);
  const percent = (value: number) => asText(formats.percent(value));
  const power = (watts: number) => asText(formats.power(watts));
  const step = tickStepHours(endMs - startMs, widthPx, widthPx < NARROW_PX ? 60 : 84);
  const isRunning = nowMs >= startMs && nowMs < endMs;
  return {
    startMs,
    endMs,
    nowMs: isRunning ? nowMs : null,
    nowLabel: words.nowLabel(times.time(nowMs)),
    columns,
    ticks: hourTicks(startMs, endMs, times.zone, step).map(at => ({ at, label: times.hour(at) })),
    nights: (answer.nights ?? []).map(night => nightShown(night, times)),
    gaps: columns.gaps.map(gap => ({ ...gap, reason: reasonOfGap(gap, answer) })),
    outages: answer.outages.map(({ startedAt, endedAt }) => ({
      fromMs: Math.max(startMs, Date.parse(startedAt)),
      toMs: Math.min(endMs, endedAt === null ? nowMs : Date.parse(endedAt)),
    })),
    flags: flagsOf(answer),
    levels: [100, 50].map(value => ({ percent: value, label: percent(value) })),
    rowLabels: { input: words.inLabel(power(columns.topW)), output: words.outLabel },
    cutLabels: columns.cuts.map(cut => ({ at: cut.at, label: power(cut.watts) })),
    clearLabel: answer.clearSky === null || Math.max(0, ...answer.clearSky.powerW) < 1 ? null : words.clearLabel,
  };
}

function nightShown(night: NonNullable<LedgerDayAnswer['nights']>[number], times: Times): DayPicture['nights'][number] {
  const moment = (at: string | null, label: (time: string) => string): Moment | null =>
    at === null ? null : { at: Date.parse(at), label: label(times.time(Date.parse(at))) };
  return {
    fromMs: Date.parse(night.fromAt),
    toMs: Date.parse(night.toAt),
    sunset: moment(night.sunsetAt, nowWords.sunsetLabel),
    sunrise: moment(night.sunriseAt, nowWords.sunriseLabel),
  };
}

function reasonOfGap(gap: { fromMs: number; toMs: number }, answer: LedgerDayAnswer): string | null {
  const span = reasonOf(gap, spansTold(answer.spans));
  return span === null ? null : gapText(span.reason, span.note);
}

/** Notes of a moment are numbered in their order; those of the whole day have no place on the axis. */
export const numbersOf = (notes: readonly WireNote[]): ReadonlyMap<number, string> =>
  new Map(notes.filter(({ at }) => at !== null).map(({ id }, i) => [id, String(i + 1)]));

function flagsOf({ marks, notes }: LedgerDayAnswer): Flag[] {
  const numbers = numbersOf(notes);
  return [
    ...marks.map(({ at, letter }): Flag => ({ at: Date.parse(at), label: letter, kind: 'mark' })),
    ...notes.flatMap(({ id, at }): Flag[] =>
      at === null ? [] : [{ at: Date.parse(at), label: numbers.get(id)!, kind: 'note' }],
    ),
  ].sort((a, b) => a.at - b.at);
}
