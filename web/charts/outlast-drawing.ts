/** Draws a laid-out Outlast as SVG in the ink of the present light; no place is decided here. */
import { css, svg, type TemplateResult } from 'lit';
import type { OutlastLayout } from './outlast-layout.ts';

/** @param words what the drawing says, for those who do not see it. @param running name of the last bin */
export const outlastDrawing = (layout: OutlastLayout, words: string, running: string): TemplateResult => {
  const { width, height, left, right, baseY, topY, target } = layout;
  return svg`<svg role="img" aria-label=${words} width=${width} height=${height} viewBox="0 0 ${width} ${height}">
    ${layout.nights.map(night => svg`<rect class="night" x=${night.x} y=${topY} width=${Math.max(0, night.width)} height=${baseY - topY}></rect>`)}
    <line class="axis" x1=${left} y1=${baseY} x2=${width} y2=${baseY}></line>
    <line class="target" x1=${target.x} y1=${topY} x2=${target.x} y2=${baseY}></line>
    ${layout.dots.map(dot => svg`<circle class=${dot.filled ? 'dot makes' : 'dot'} cx=${dot.x} cy=${dot.y} r=${layout.radius}></circle>`)}
    ${layout.labels.map(({ x, text }) => svg`<text class="hour" x=${x} y=${baseY + 20} text-anchor="middle">${text}</text>`)}
    <text class="hour" x=${width} y=${baseY + 20} text-anchor="end">${running}</text>
    <line class="axis end" x1=${right} y1=${baseY - 6} x2=${right} y2=${baseY + 6}></line>
    <text class="aim" x=${target.x + (target.anchor === 'start' ? 7 : -7)} y=${topY + 14} text-anchor=${target.anchor}>${target.text}</text>
  </svg>` as TemplateResult;
};

export const outlastDrawingStyles = css`
  svg { display: block; max-width: 100%; overflow: visible; }
  svg text { font-size: 14px; font-weight: var(--text-weight); fill: var(--soft); }
  svg text.aim { font-weight: var(--strong-weight); fill: var(--ink); }
  .night { fill: var(--night); }
  .axis { stroke: var(--soft); stroke-width: 2px; }
  .target { stroke: var(--ink); stroke-width: 2px; }
  .dot { fill: var(--paper); stroke: var(--stored); stroke-width: 2.5px; }
  .dot.makes { fill: var(--stored); }
`;
