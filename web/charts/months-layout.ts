/** Where each part of Plan's drawing lies: twelve bars of sun against the line of what a day takes. Pure; px. */

export interface MonthBar {
  lowWh: number;
  middleWh: number;
  highWh: number;
}

export interface MonthsLayout {
  width: number;
  height: number;
  baseY: number;
  topY: number;
  left: number;
  bars: { x: number; width: number; y: number; height: number; middleY: number; keeps: boolean }[];
  letters: { x: number; text: string }[];
  ticks: { y: number; text: string }[];
  /** Told above the bars, beside a piece of its line: no bar runs through the words. */
  need: { y: number; text: string; sample: { x1: number; x2: number; y: number } } | null;
}

const LEFT = 68;
const TOP = 30;
const BOTTOM = 26;
const SAMPLE_PX = 32;
/** A bar that has no height is still seen. */
const LEAST_PX = 2;

/** Round steps of a scale: at most four below `most`. */
export function stepsTo(most: number): number[] {
  const rough = most / 3;
  const power = 10 ** Math.floor(Math.log10(Math.max(rough, 1e-9)));
  const step = [1, 2, 5, 10].map(s => s * power).find(s => s >= rough)!;
  return Array.from({ length: Math.floor(most / step) + 1 }, (_, i) => i * step);
}

/**
 * @param needWh what a day takes from the panels; null where it is not known
 * @param energy an energy as text
 * @param needText told at the line
 */
export function monthsLayout(
  months: readonly MonthBar[],
  needWh: number | null,
  letters: readonly string[],
  energy: (wh: number) => string,
  needText: string,
  width: number,
  height: number,
): MonthsLayout {
  const baseY = height - BOTTOM;
  const most = Math.max(1, needWh ?? 0, ...months.map(m => m.highWh));
  const yOf = (wh: number) => baseY - (wh / most) * (baseY - TOP);
  const slot = (width - LEFT) / months.length;
  const bars = months.map(({ lowWh, middleWh, highWh }, i) => {
    const y = Math.min(yOf(highWh), baseY - LEAST_PX);
    return {
      x: LEFT + slot * (i + 0.2),
      width: slot * 0.6,
      y,
      height: Math.max(LEAST_PX, yOf(lowWh) - y),
      middleY: Math.min(yOf(middleWh), baseY - 1),
      keeps: needWh !== null && middleWh >= needWh,
    };
  });
  const needY = needWh === null ? null : yOf(needWh);
  return {
    width,
    height,
    baseY,
    topY: TOP,
    left: LEFT,
    bars,
    letters: letters.map((text, i) => ({ x: LEFT + slot * (i + 0.5), text })),
    ticks: stepsTo(most).map(wh => ({ y: yOf(wh), text: energy(wh) })),
    need:
      needY === null ? null : { y: needY, text: needText, sample: { x1: LEFT, x2: LEFT + SAMPLE_PX, y: TOP / 2 - 4 } },
  };
}
