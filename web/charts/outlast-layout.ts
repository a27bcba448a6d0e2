/**
 * Where everything of Outlast's drawing stands: twenty dots over the hours, stacked in bins counted from the target, the
 * last bin for what is still running. Pure; lengths in CSS px, instants epoch ms.
 */

export interface OutlastPlan {
  nowAt: number;
  targetAt: number;
  /** One a chance in twenty; null: not within what was looked at. */
  dots: readonly (number | null)[];
  nights: readonly { fromMs: number; toMs: number }[];
  /** Text of an hour on the axis. */
  labelOf(at: number): string;
  targetText: string;
}

export interface OutlastLayout {
  width: number;
  height: number;
  left: number;
  right: number;
  /** The axis, and where the night above it begins. */
  baseY: number;
  topY: number;
  dots: { x: number; y: number; filled: boolean }[];
  radius: number;
  nights: { x: number; width: number }[];
  labels: { x: number; text: string }[];
  target: { x: number; text: string; anchor: 'start' | 'end' };
  runningX: number;
}

const HOUR_MS = 3_600_000;
const STEPS_H = [0.5, 1, 2, 3, 6, 12, 24];
const MOST_BINS = 26;
const LABEL_PX = 84;
const RUNNING_PX = 92;
const RADIUS = 11;
const LEAST_RADIUS = 4;
const LEAST_PX = 60;
/** Between two dots, and above them for the target's name. */
const APART_PX = 3;
const TEXT_PX = 24;
const RUNNING_ROW = 3;
/** An hour's text closer to the last bin would run into its name. */
const CLEAR_PX = 16;

export function layoutOutlast(plan: OutlastPlan, width: number, height: number): OutlastLayout {
  const left = 20;
  // However narrow, the hours have some room: below that there is nothing to lay out.
  const right = Math.max(left + LEAST_PX, width - RUNNING_PX);
  const baseY = height - 30;
  const topY = 8;
  const { nowAt, targetAt } = plan;
  const spanMs = targetAt - nowAt;
  const last = Math.max(targetAt, ...plan.dots.filter(at => at !== null));
  // What comes long after the target is told as still running: the target must not be pushed to the edge.
  const endAt = Math.min(Math.max(last, targetAt + 0.1 * spanMs), targetAt + 0.6 * spanMs);
  const x = (at: number) => left + ((Math.min(Math.max(at, nowAt), endAt) - nowAt) / (endAt - nowAt)) * (right - left);
  const most = Math.min(MOST_BINS, Math.floor((right - left) / (2 * LEAST_RADIUS + 4)));
  const stepMs = HOUR_MS * (STEPS_H.find(h => (endAt - nowAt) / (h * HOUR_MS) <= most) ?? STEPS_H.at(-1)!);
  const runningX = width - RUNNING_PX / 2;
  const columns = stacked(plan, stepMs, endAt);
  const binPx = ((right - left) * stepMs) / (endAt - nowAt);
  const hours = [...columns].filter(([at]) => at !== null).map(([, column]) => column.length);
  const highest = Math.max(1, ...hours, Math.ceil((columns.get(null)?.length ?? 0) / RUNNING_ROW));
  const roomPx = (baseY - topY - TEXT_PX) / highest;
  const radius = Math.max(LEAST_RADIUS, Math.min(RADIUS, (binPx - 2) / 2, (roomPx - APART_PX) / 2));
  const pitch = 2 * radius + APART_PX;
  const dots = [...columns].flatMap(([at, column]) =>
    column.map((filled, i) => {
      // What is still running stands in rows: most of them may do.
      const row = at === null ? Math.floor(i / RUNNING_ROW) : i;
      const across = at === null ? ((i % RUNNING_ROW) - (RUNNING_ROW - 1) / 2) * pitch : 0;
      return { x: (at === null ? runningX : x(at)) + across, y: baseY - (radius + APART_PX) - row * pitch, filled };
    }),
  );
  const targetX = x(targetAt);
  return {
    width,
    height,
    left,
    right,
    baseY,
    topY,
    dots,
    radius,
    nights: plan.nights
      .filter(night => night.toMs > nowAt && night.fromMs < endAt)
      .map(({ fromMs, toMs }) => ({ x: x(fromMs), width: x(toMs) - x(fromMs) })),
    labels: labelsOf(plan, stepMs, endAt, x, (right - left) / (endAt - nowAt)).filter(
      label => label.x <= right - CLEAR_PX,
    ),
    target: { x: targetX, text: plan.targetText, anchor: targetX > 0.7 * right ? 'end' : 'start' },
    runningX,
  };
}

/** Dots by the instant of their bin, those that miss the target below those that make it; null: still running. */
function stacked(plan: OutlastPlan, stepMs: number, endAt: number): Map<number | null, boolean[]> {
  const columns = new Map<number | null, boolean[]>();
  for (const at of [...plan.dots].sort((a, b) => (a ?? Number.POSITIVE_INFINITY) - (b ?? Number.POSITIVE_INFINITY))) {
    const key = at === null || at > endAt ? null : binOf(at, plan, stepMs);
    columns.set(key, [...(columns.get(key) ?? []), at === null || at >= plan.targetAt]);
  }
  return columns;
}

/** Bins are counted from the target, so that none holds both what makes it and what does not. */
function binOf(at: number, { nowAt, targetAt }: OutlastPlan, stepMs: number): number {
  const bins = at >= targetAt ? Math.floor((at - targetAt) / stepMs) : -Math.ceil((targetAt - at) / stepMs);
  return Math.max(nowAt, targetAt + bins * stepMs);
}

function labelsOf(
  { nowAt, targetAt, labelOf }: OutlastPlan,
  stepMs: number,
  endAt: number,
  x: (at: number) => number,
  pxPerMs: number,
): OutlastLayout['labels'] {
  const every = Math.ceil(LABEL_PX / (pxPerMs * stepMs)) * stepMs;
  const labels: OutlastLayout['labels'] = [];
  for (let at = targetAt; at >= nowAt; at -= every) labels.unshift({ x: x(at), text: labelOf(at) });
  for (let at = targetAt + every; at <= endAt; at += every) labels.push({ x: x(at), text: labelOf(at) });
  return labels;
}
