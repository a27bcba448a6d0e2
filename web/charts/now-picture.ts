/**
 * All that the Now drawing shows, decided: columns, nights, gaps, marks and every label's words. A pure function of
 * what is known; the canvas only paints it.
 */

import { type Night, nightsIn } from '#energy/nights';
import type { WireProjection, WireStation } from '#messages';
import { asText, type Formats, type Times } from '../format.ts';
import { gapsIn, type History } from '../state/history.ts';
import { toldRange } from '../views/now/projection-sentence.ts';
import * as words from '../words.ts';
import { LEVEL, type NowColumns, nowColumns } from './now-columns.ts';
import { type Span, spanAround } from './span.ts';
import { hourTicks, tickStepHours } from './ticks.ts';

export interface Mark {
  at: number;
  label: string;
}

export interface NowPicture {
  span: Span;
  columns: NowColumns;
  ticks: { at: number; label: string }[];
  nights: (Night & { sunsetLabel: string | null; sunriseLabel: string | null })[];
  /** `reason`: why, where it is known. */
  gaps: { fromMs: number; toMs: number; reason: string | null }[];
  floor: { percent: number; label: string };
  /** Where charging stops, when it is not 100 %. */
  ceilingPct: number | null;
  /** The range of the moment headed for: the promised end solid, the middle open. */
  range: { percent: number; lowAt: number; highAt: number; promised: Mark; middle: Mark | null } | null;
  nowLabel: string;
  /** Typed values, which no line joins. */
  dots: { at: number; percent: number }[];
  rowLabels: { input: string; output: string };
  cutLabels: { at: number; label: string }[];
  levels: { percent: number; label: string }[];
}

/** Why nothing was recorded then. */
export type ReasonOf = (gap: { fromMs: number; toMs: number }) => string | null;

export interface PictureParts {
  history: History;
  station: WireStation;
  /** Age after which silence is a gap, ms; null for a source that speaks only on change. */
  staleAfterMs: number | null;
  /** Null where nothing may be promised. */
  projection: WireProjection | null;
  nowAt: number;
  widthPx: number;
  reasonOf?: ReasonOf | null;
  formats: Formats;
  times: Times;
}

const NARROW_PX = 560;
/** A stretch without readings is drawn as a gap from this many buckets on. */
const GAP_BUCKETS = 3;
/** A source that speaks only on change is drawn through silences up to this. */
const ON_CHANGE_MS = 3_600_000;

export function nowPicture(parts: PictureParts): NowPicture {
  const { projection, formats, times, station, history, nowAt, widthPx } = parts;
  const range = rangeOf(projection, times);
  const narrow = widthPx < NARROW_PX;
  const span = spanAround(nowAt, range?.highAt ?? null, narrow);
  const typed = station.transport === 'typed';
  const gapMs = Math.max(GAP_BUCKETS * history.stepMs, parts.staleAfterMs ?? ON_CHANGE_MS);
  const columns = nowColumns(history, projection, span, typed ? 0 : gapMs);
  const percent = (value: number) => asText(formats.percent(value));
  const power = (watts: number) => asText(formats.power(watts));
  const step = tickStepHours(span.toMs - span.fromMs, widthPx, narrow ? 68 : 84);
  return {
    span,
    columns,
    ticks: hourTicks(span.fromMs, span.toMs, times.zone, step).map(at => ({ at, label: times.hour(at) })),
    nights: nightsIn(span.fromMs, span.toMs, station.place).map(night => ({
      ...night,
      sunsetLabel: night.sunsetAt === null ? null : words.sunsetLabel(times.time(night.sunsetAt)),
      sunriseLabel: night.sunriseAt === null ? null : words.sunriseLabel(times.time(night.sunriseAt)),
    })),
    // Between numbers typed now and then nothing is missing.
    gaps: (typed ? [] : gapsIn(history, LEVEL, span.nowMs, gapMs))
      .map(gap => ({
        fromMs: Math.max(gap.fromMs, span.fromMs),
        toMs: gap.toMs,
        reason: parts.reasonOf?.(gap) ?? null,
      }))
      .filter(gap => gap.toMs > gap.fromMs),
    floor: { percent: station.reserveFloorPct, label: words.floorLabel(percent(station.reserveFloorPct)) },
    ceilingPct: station.chargeCeilingPct < 99.5 ? station.chargeCeilingPct : null,
    range,
    nowLabel: words.nowLabel(times.time(span.nowMs)),
    dots: typed ? lonely(columns) : [],
    rowLabels: { input: words.inLabel(power(columns.rowTopW)), output: words.outLabel },
    cutLabels: columns.cuts.map(cut => ({ at: cut.at, label: power(cut.watts) })),
    levels: [100, 50].map(value => ({ percent: value, label: percent(value) })),
  };
}

const lonely = ({ at, level, aheadFrom }: NowColumns): NowPicture['dots'] =>
  level.slice(0, aheadFrom).flatMap((percent, i) => (typeof percent === 'number' ? [{ at: at[i]!, percent }] : []));

function rangeOf(projection: WireProjection | null, times: Times): NowPicture['range'] {
  if (projection === null) return null;
  const mark = (at: number): Mark => ({ at, label: times.time(at) });
  if (projection.toward === 'empty' && projection.emptyAt !== null) {
    const told = toldRange(projection.emptyAt, times.zone);
    return {
      percent: projection.floorPct,
      lowAt: told.p10,
      highAt: told.p90 ?? told.p50 ?? told.p10,
      promised: mark(told.p10),
      middle: told.p50 === null ? null : mark(told.p50),
    };
  }
  if (projection.toward === 'full' && projection.fullAt !== null) {
    const told = toldRange(projection.fullAt, times.zone);
    if (told.p90 === null) return null;
    return {
      percent: projection.ceilingPct,
      lowAt: told.p10,
      highAt: told.p90,
      promised: mark(told.p90),
      middle: told.p50 === null ? null : mark(told.p50),
    };
  }
  return null;
}
