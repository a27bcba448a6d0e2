/** Draws laid-out months as SVG in the ink of the present light; no place is decided here. */
import { css, svg, type TemplateResult } from 'lit';
import type { MonthsLayout } from './months-layout.ts';

/** @param says what the drawing says, for those who do not see it */
export const monthsDrawing = (
  { width, height, left, baseY, bars, letters, ticks, need }: MonthsLayout,
  says: string,
): TemplateResult =>
  svg`<svg role="img" aria-label=${says} width=${width} height=${height} viewBox="0 0 ${width} ${height}">
    ${ticks.map(({ y, text }) => svg`<line class="tick" x1=${left} y1=${y} x2=${width} y2=${y}></line><text class="scale" x=${left - 8} y=${y + 5} text-anchor="end">${text}</text>`)}
    ${bars.map(bar => svg`<rect class="month" x=${bar.x} y=${bar.y} width=${bar.width} height=${bar.height}></rect><line class="middle" x1=${bar.x - 2} y1=${bar.middleY} x2=${bar.x + bar.width + 2} y2=${bar.middleY}></line>`)}
    <line class="axis" x1=${left} y1=${baseY} x2=${width} y2=${baseY}></line>
    ${letters.map(({ x, text }) => svg`<text x=${x} y=${baseY + 20} text-anchor="middle">${text}</text>`)}
    ${need === null ? '' : svg`<line class="need" x1=${left} y1=${need.y} x2=${width} y2=${need.y}></line><line class="need" x1=${need.sample.x1} y1=${need.sample.y} x2=${need.sample.x2} y2=${need.sample.y}></line><text class="need" x=${need.sample.x2 + 8} y=${need.sample.y + 5}>${need.text}</text>`}
  </svg>` as TemplateResult;

export const monthsDrawingStyles = css`
  svg { display: block; max-width: 100%; overflow: visible; }
  svg text { font-size: 14px; font-weight: var(--text-weight); fill: var(--soft); }
  svg text.need { font-weight: var(--strong-weight); fill: var(--ink); }
  .tick { stroke: var(--hair); stroke-width: var(--hair-width); }
  .axis { stroke: var(--soft); stroke-width: 2px; }
  .month { fill: var(--night); stroke: var(--soft); stroke-width: 1.5px; }
  .middle { stroke: var(--ink); stroke-width: 4px; }
  line.need { stroke: var(--ink); stroke-width: 2px; stroke-dasharray: 7 4; }
`;
