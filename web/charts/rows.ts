/** What drawings of level, input and output over time have in common: cells between readings, and scales on one plot. Pure. */

/** Null is a gap; undefined is a step that a slower source leaves out between two readings, drawn through. */
export type Cells = (number | null | undefined)[];

export const isNumber = (value: number | null | undefined): value is number => typeof value === 'number';

/** Empty cells between two values less than `most` apart become undefined: no gap, only nothing said there. */
export function bridged(cells: readonly (number | null)[], most: number): Cells {
  const out: Cells = [...cells];
  let last: number | null = null;
  cells.forEach((value, i) => {
    if (value === null) return;
    if (last !== null && i - last < most) out.fill(undefined, last + 1, i);
    last = i;
  });
  return out;
}

/** One scale for both rows: the highest input, or what output stays under nearly always, rounded up. */
export function commonTop(input: Readonly<Cells>, output: Readonly<Cells>): number {
  const inputs = input.filter(isNumber);
  const outputs = output.filter(isNumber).sort((a, b) => a - b);
  const usual = outputs[Math.ceil((outputs.length - 1) * 0.97)] ?? 0;
  const highest = outputs.at(-1) ?? 0;
  const top = Math.max(10, usual, ...inputs);
  return roundUp(highest <= top * 1.25 ? Math.max(top, highest) : top);
}

/** To two significant digits, upward. */
function roundUp(value: number): number {
  const step = 10 ** Math.floor(Math.log10(value)) / 10;
  return Math.ceil(Number((value / step).toPrecision(9))) * step;
}

/** Range [min, max] of a scale on which 0 falls on `zeroPx` and `top` on `topPx` in a plot of `heightPx`. */
export function scaleRange(heightPx: number, zeroPx: number, topPx: number, top: number): [number, number] {
  const pxPerUnit = (zeroPx - topPx) / top;
  return [-(heightPx - zeroPx) / pxPerUnit, zeroPx / pxPerUnit];
}
