/** Draws a laid-out curve as SVG in the ink of the present light. Results differ by the pattern of line and dot, not by colour. */
import { css, svg, type TemplateResult } from 'lit';
import type { CurveLayout, Placed } from './curve-layout.ts';

const SAMPLE_PX = 30;
const DOT_PX = 6;
/** Nearer to the end than this a text with its unit would stand out of the drawing. */
const NEAR_END_PX = 24;

/** @param says what the drawing says, for those who do not see it */
export function curveDrawing(layout: CurveLayout, says: string): TemplateResult {
  const { width, height, left, right, topY, baseY, xTicks, yTicks, series, units } = layout;
  return svg`<svg role="img" aria-label=${says} width=${width} height=${height} viewBox="0 0 ${width} ${height}">
    ${yTicks.map(({ y, text }) => svg`<line class="tick" x1=${left} y1=${y} x2=${right} y2=${y}></line><text x=${left - 8} y=${y + 5} text-anchor="end">${text}</text>`)}
    ${series.map(({ band, order }) => (band === '' ? '' : svg`<path class=${order === 0 ? 'band' : 'band other'} d=${band}></path>`))}
    ${series.map(drawn)}
    <line class="axis" x1=${left} y1=${baseY} x2=${right} y2=${baseY}></line>
    ${xTicks.map(({ x, text }, i) => svg`<line class="axis" x1=${x} y1=${baseY} x2=${x} y2=${baseY + 5}></line><text x=${x} y=${baseY + 21} text-anchor=${right - x < NEAR_END_PX ? 'end' : 'middle'}>${i === xTicks.length - 1 ? `${text} ${units.x}` : text}</text>`)}
    <text x=${left - 8} y=${topY - 10} text-anchor="end">${units.y}</text>
    ${series.map(labelled)}
  </svg>` as TemplateResult;
}

const kind = ({ model, order }: Placed): string => (model ? 'model' : `line n${Math.min(order, 3)}`);

function drawn(series: Placed) {
  const { line, dots, order } = series;
  return svg`${line === '' ? '' : svg`<path class=${kind(series)} d=${line}></path>`}
    ${dots.map(({ x, y, lowY, highY }) => svg`<line class="range" x1=${x} y1=${lowY} x2=${x} y2=${highY}></line><circle class=${order === 0 ? 'dot' : 'dot open'} cx=${x} cy=${y} r=${DOT_PX}></circle>`)}`;
}

function labelled(series: Placed) {
  const { label, name } = series;
  if (label === null) return '';
  return svg`<line class=${kind(series)} x1=${label.x - SAMPLE_PX} y1=${label.y - 5} x2=${label.x} y2=${label.y - 5}></line>
    <text class="name" x=${label.x - SAMPLE_PX - 8} y=${label.y} text-anchor="end">${name}</text>`;
}

export const curveStyles = css`
  svg { display: block; max-width: 100%; overflow: visible; }
  svg text { font-size: 14px; font-weight: var(--text-weight); fill: var(--soft); }
  svg text.name { fill: var(--ink); paint-order: stroke; stroke: var(--paper); stroke-width: 4px; }
  .tick { stroke: var(--hair); stroke-width: var(--hair-width); }
  .axis { stroke: var(--soft); stroke-width: 1.5px; }
  .band { fill: var(--range); fill-opacity: 0.35; stroke: none; }
  .band.other { fill: var(--soft); fill-opacity: 0.25; }
  .line, .model { fill: none; stroke-linejoin: round; }
  .line.n0 { stroke: var(--stored); stroke-width: var(--level-width); }
  .line.n1 { stroke: var(--ink); stroke-width: 2.5px; stroke-dasharray: 10 5; }
  .line.n2 { stroke: var(--ink); stroke-width: 2.5px; stroke-dasharray: 3 4; }
  .line.n3 { stroke: var(--soft); stroke-width: 2.5px; stroke-dasharray: 14 4 3 4; }
  .model { stroke: var(--ink); stroke-width: 2px; stroke-dasharray: 2 5; }
  .range { stroke: var(--ink); stroke-width: 2px; }
  .dot { fill: var(--stored); stroke: var(--paper); stroke-width: 1.5px; }
  .dot.open { fill: var(--paper); stroke: var(--ink); stroke-width: 2px; }
`;
