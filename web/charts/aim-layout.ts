/**
 * Where everything of Aim's last minutes stands: the line and the ground under it, broken at gaps, and each mark as a
 * letter on a dotted line. Pure; lengths in CSS px, instants epoch ms, W.
 */

export interface AimPlan {
  nowAt: number;
  spanMs: number;
  points: readonly { at: number; watts: number | null }[];
  /** Points closer together than this belong to one line. */
  bridgeMs: number;
  marks: readonly { letter: string; at: number }[];
}

export type Point = readonly [x: number, y: number];

export interface AimLayout {
  width: number;
  height: number;
  /** The line of the marks' letters, the ground, and the top of the scale. */
  letterY: number;
  baseY: number;
  topY: number;
  topW: number;
  lines: Point[][];
  gaps: { x: number; width: number }[];
  marks: { letter: string; x: number; textX: number }[];
}

const LETTER_PX = 18;
const AXIS_PX = 20;
/** A drawing of no watts still has a scale. */
const LEAST_TOP_W = 10;
const LETTERS_APART_PX = 15;
const COLUMN_PX = 1.5;
const LEAST_GAP_PX = 4;
/** As for readings of more than 20 s apart everywhere. */
const PACES_APART = 2.5;

export function layoutAim(plan: AimPlan, width: number, height: number): AimLayout {
  const baseY = height - AXIS_PX;
  const topY = LETTER_PX + 4;
  const fromAt = plan.nowAt - plan.spanMs;
  const shown = plan.points.filter(({ at }) => at >= fromAt && at <= plan.nowAt);
  const topW = Math.max(LEAST_TOP_W, ...shown.map(({ watts }) => watts ?? 0)) * 1.04;
  const x = (at: number) => ((at - fromAt) / plan.spanMs) * width;
  const y = (watts: number) => baseY - (Math.max(0, watts) / topW) * (baseY - topY);
  const runs = unbroken(shown, plan.bridgeMs);
  return {
    width,
    height,
    letterY: LETTER_PX - 4,
    baseY,
    topY,
    topW,
    lines: runs.map(run => thinned(run.map(({ at, watts }) => [x(at), y(watts)]))),
    gaps: gapsBetween(runs, fromAt, plan)
      .map(({ fromMs, toMs }) => ({ x: x(fromMs), width: x(toMs) - x(fromMs) }))
      .filter(gap => gap.width >= LEAST_GAP_PX),
    marks: placedMarks(plan, fromAt, x, width),
  };
}

type Known = { at: number; watts: number };

/**
 * Stretches of readings that belong together: none is missing, and none is further from the next than is usual around
 * it, since what was recorded before may have come at another pace than what comes now.
 */
function unbroken(points: AimPlan['points'], bridgeMs: number): Known[][] {
  const runs: Known[][] = [];
  const steps = points.slice(1).map(({ at }, i) => at - points[i]!.at);
  points.forEach(({ at, watts }, i) => {
    if (watts === null) return;
    const point = { at, watts };
    const step = i === 0 ? Number.POSITIVE_INFINITY : steps[i - 1]!;
    const joins = (step <= bridgeMs || step <= PACES_APART * paceAt(steps, i)) && points[i - 1]?.watts !== null;
    if (joins) runs.at(-1)!.push(point);
    else runs.push([point]);
  });
  return runs;
}

/** The middle one of the steps around point i. */
function paceAt(steps: readonly number[], i: number): number {
  const near = steps.slice(Math.max(0, i - 3), i + 2).sort((a, b) => a - b);
  return near[near.length >> 1] ?? 0;
}

/** Time without a line: between runs, and up to now where nothing has come for longer than belongs together. */
function gapsBetween(runs: readonly Known[][], fromAt: number, { nowAt, bridgeMs }: AimPlan) {
  if (runs.length === 0) return [];
  const gaps = runs.slice(1).map((run, i) => ({ fromMs: runs[i]!.at(-1)!.at, toMs: run[0]!.at }));
  const [first, last] = [runs[0]![0]!.at, runs.at(-1)!.at(-1)!.at];
  if (first - fromAt > bridgeMs) gaps.unshift({ fromMs: fromAt, toMs: first });
  if (nowAt - last > bridgeMs) gaps.push({ fromMs: last, toMs: nowAt });
  return gaps;
}

/** One point a column of pixels, at its mean. */
function thinned(points: readonly Point[]): Point[] {
  const out: Point[] = [];
  let column = Number.NaN;
  let held = 0;
  for (const [px, py] of points) {
    const own = Math.floor(px / COLUMN_PX);
    const last = out.at(-1);
    if (own === column && last !== undefined) {
      held++;
      out[out.length - 1] = [px, last[1] + (py - last[1]) / held];
    } else {
      out.push([px, py]);
      column = own;
      held = 1;
    }
  }
  return out;
}

/** Letters that would run into each other are put beside their line. */
function placedMarks(plan: AimPlan, fromAt: number, x: (at: number) => number, width: number): AimLayout['marks'] {
  let left = Number.NEGATIVE_INFINITY;
  return plan.marks
    .filter(({ at }) => at >= fromAt && at <= plan.nowAt)
    .toSorted((a, b) => a.at - b.at)
    .map(({ letter, at }) => {
      const textX = Math.min(width - 6, Math.max(6, x(at), left + LETTERS_APART_PX));
      left = textX;
      return { letter, x: x(at), textX };
    });
}
