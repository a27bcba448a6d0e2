/** Draws a laid-out ruler as SVG. What lies beyond the hard stop is a cross, not a dot: told by shape, not by colour. */
import { css, svg, type TemplateResult } from 'lit';
import { drawnLabel } from './wiring-drawing.ts';
import type { RulerLayout } from './wiring-ruler.ts';

const ARM_PX = 7;

/** @param words what the ruler says, for those who do not see it */
export function rulerDrawing(layout: RulerLayout, words: string): TemplateResult {
  const { band, range, most, stop, dot, width, height } = layout;
  const cross = `M${dot.x - ARM_PX},${dot.y - ARM_PX}l${2 * ARM_PX},${2 * ARM_PX}m0,${-2 * ARM_PX}l${-2 * ARM_PX},${2 * ARM_PX}`;
  return svg`<svg class="ruler" role="img" aria-label=${words} width=${width} height=${height} viewBox="0 0 ${width} ${height}">
    <rect class="band" x=${band.x} y=${band.y} width=${band.width} height=${band.height}></rect>
    ${range === null ? '' : svg`<rect class="range" x=${range.x} y=${range.y} width=${range.width} height=${range.height}></rect>`}
    ${most === null ? '' : svg`<path class="most" d="M${most.x1},${most.y}H${most.x2}m0,-6v12"></path>`}
    ${stop === null ? '' : svg`<line class="stop" x1=${stop.x} x2=${stop.x} y1=${stop.y1} y2=${stop.y2}></line>`}
    ${dot.beyond ? svg`<path class="beyond" d=${cross}></path>` : svg`<circle class="dot" cx=${dot.x} cy=${dot.y} r="8"></circle>`}
    ${layout.labels.map(drawnLabel)}
  </svg>` as TemplateResult;
}

export const rulerStyles = css`
  .band { fill: var(--night); }
  .range, .dot { fill: var(--stored); }
  .most { fill: none; stroke: var(--stored); stroke-width: 2; }
  .stop { stroke: var(--ink); stroke-width: 3; }
  .beyond { fill: none; stroke: var(--ink); stroke-width: 4; }
`;
