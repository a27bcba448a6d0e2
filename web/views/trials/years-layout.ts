/** Where points of usable energy lie over years, with the promised threshold as a dotted line. Pure; px. */
import type { YearsAnswer } from '#messages';
import { type CurveLayout, type Placed, roundTicks } from './curve-layout.ts';

type Point = YearsAnswer['points'][number];

export interface YearsRoom {
  width: number;
  height: number;
  /** What was promised, Wh; null: nothing. */
  limitWh: number | null;
  day(at: number): string;
  number(value: number, decimals: number): string;
}

const [LEFT, TOP, BOTTOM, RIGHT] = [64, 26, 30, 40];
const LABEL_PX = 132;
const Y_TICK_PX = 46;
const DAY_MS = 86_400_000;

export function yearsLayout(points: readonly Point[], room: YearsRoom): CurveLayout {
  const { width, height, limitWh } = room;
  const [right, baseY] = [width - RIGHT, height - BOTTOM];
  const at = points.map(point => Date.parse(point.at));
  const [from, to] = [Math.min(...at), Math.max(...at)];
  const span = Math.max(to - from, DAY_MS);
  const lows = [...points.map(({ usable }) => usable.low95), ...(limitWh === null ? [] : [limitWh])];
  const highest = Math.max(...points.map(({ usable }) => usable.high95));
  const least = Math.min(...lows);
  // Half of what is there is room enough below: a line that falls by a tenth shall be seen.
  const low = Math.max(0, least - (highest - least + 0.1 * highest) * 0.5);
  const most = highest + (highest - low) * 0.1;
  const xOf = (x: number) => LEFT + 12 + (to === from ? 0.5 : (x - from) / span) * (right - LEFT - 12);
  const yOf = (wh: number) => baseY - ((wh - low) / (most - low)) * (baseY - TOP);
  const ys = roundTicks(low, most, Math.floor((baseY - TOP) / Y_TICK_PX));
  const dotsOf = (comparable: boolean) =>
    points
      .filter(point => point.comparable === comparable)
      .map(point => ({
        x: xOf(Date.parse(point.at)),
        y: yOf(point.usable.value),
        lowY: yOf(point.usable.low95),
        highY: yOf(point.usable.high95),
      }));
  const none = { name: '', model: false, line: '', band: '', dots: [], label: null };
  const limit: Placed[] =
    limitWh === null
      ? []
      : [
          {
            ...none,
            order: 0,
            model: true,
            line: `M${LEFT} ${yOf(limitWh).toFixed(1)}L${right} ${yOf(limitWh).toFixed(1)}`,
          },
        ];
  // The last day is always written; those before it where they have room.
  let free = Number.POSITIVE_INFINITY;
  const xTicks = at
    .map(instant => ({ x: xOf(instant), text: room.day(instant) }))
    .reverse()
    .filter(({ x }) => {
      if (free - x < LABEL_PX) return false;
      free = x;
      return true;
    });
  return {
    width,
    height,
    left: LEFT,
    right,
    topY: TOP,
    baseY,
    xTicks,
    yTicks: ys.values.map(wh => ({ y: yOf(wh), text: room.number(wh, ys.decimals) })),
    series: [...limit, { ...none, order: 0, dots: dotsOf(true) }, { ...none, order: 1, dots: dotsOf(false) }],
    units: { x: '', y: 'Wh' },
  };
}
