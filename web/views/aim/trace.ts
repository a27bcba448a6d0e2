/**
 * The watts of the last minutes, as the record holds them and as they come. Instants epoch ms of the agent, W; a gap is
 * what lies between two points further apart than the source's own pace allows, and stays one.
 */
import type { SeriesAnswer } from '#messages';

export interface TracePoint {
  at: number;
  /** Null: the source said nothing of it. */
  watts: number | null;
}

/** As far back as the drawing ever reaches, and a little more. */
export const KEEP_MS = 16 * 60_000;
const MINUTE_MS = 60_000;
/** Minutes that the drawing may show. */
const SPANS_MIN = [3, 5, 10, 15];

/** Adds one reading; what is not newer than the last is left out. Changes `points`. */
export function addPoint(points: TracePoint[], point: TracePoint): void {
  const last = points.at(-1);
  if (last !== undefined && point.at <= last.at) return;
  points.push(point);
  // Cut seldom: it moves all that stays.
  if (point.at - points[0]!.at > KEEP_MS + MINUTE_MS) {
    points.splice(
      0,
      points.findIndex(({ at }) => at >= point.at - KEEP_MS),
    );
  }
}

/**
 * Lays what the record holds into the stretches where nothing came live: before the first reading, and where the line
 * was broken for longer than `bridgeMs`. Changes `points`.
 */
export function fillFrom(points: TracePoint[], answer: SeriesAnswer, quantity: string, bridgeMs: number): void {
  const startMs = Date.parse(answer.startAt);
  const recorded: TracePoint[] = (answer.columns[quantity]?.mean ?? [])
    .map((watts, i) => ({ at: startMs + (i + 0.5) * answer.stepMs, watts }))
    .filter(({ watts }) => watts !== null);
  const ends = [Number.NEGATIVE_INFINITY, ...points.map(({ at }) => at), Number.POSITIVE_INFINITY];
  const holes = ends.slice(1).map((to, i) => [ends[i]!, to] as const);
  const open = holes.filter(([from, to]) => to - from > bridgeMs);
  const missing = recorded.filter(({ at }) => open.some(([from, to]) => at > from && at < to));
  points.push(...missing);
  points.sort((a, b) => a.at - b.at);
}

/** How much to show: three minutes, or as much as reaches the marks of this walk. */
export function spanFor(nowAt: number, marksAt: readonly number[]): number {
  const within = marksAt.map(at => (nowAt - at) / MINUTE_MS + 0.3).filter(min => min <= SPANS_MIN.at(-1)!);
  const wish = Math.max(0, ...within);
  return SPANS_MIN.find(min => min >= wish)! * MINUTE_MS;
}
