/**
 * Where the three parts of the Now drawing stand in one plot: the level on top, two thin rows under it, all on the
 * same time axis. A part is a scale whose range is stretched so that its zero and its top fall on given pixels.
 */

/** CSS pixels from the plot's top edge. */
export interface PlotLayout {
  heightPx: number;
  fullPx: number;
  emptyPx: number;
  inBasePx: number;
  outBasePx: number;
  rowPx: number;
}

export function plotLayout(heightPx: number): PlotLayout {
  return {
    heightPx,
    // Room for the words over the topmost hairline.
    fullPx: 18,
    emptyPx: heightPx - 122,
    inBasePx: heightPx - 69,
    outBasePx: heightPx - 4,
    rowPx: 33,
  };
}
