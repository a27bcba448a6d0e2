/** Draws the peg from above and the panel from the side: hairlines and ink, no dial. */
import { css, svg, type TemplateResult } from 'lit';
import {
  ABOVE_PX,
  type FromAbove,
  type FromSide,
  type Point,
  SIDE_PX,
  SUN_RADIUS_PX,
  WORD_PX,
  type Word,
} from './pointing-layout.ts';

const line = (name: string, a: Point, b: Point) =>
  svg`<line class=${name} x1=${a.x} y1=${a.y} x2=${b.x} y2=${b.y}></line>`;
const word = ({ text, x, y }: Word) =>
  svg`<text x=${x} y=${y} text-anchor="middle" dominant-baseline="central">${text}</text>`;

/** A tip at the end of a line from one point to another. */
function tip(from: Point, to: Point): string {
  const px = Math.hypot(to.x - from.x, to.y - from.y);
  const [east, south] = [(to.x - from.x) / px, (to.y - from.y) / px];
  const back = { x: to.x - 9 * east, y: to.y - 9 * south };
  return `${to.x},${to.y} ${back.x - 5 * south},${back.y + 5 * east} ${back.x + 5 * south},${back.y - 5 * east}`;
}

/** @param says the drawing, for those who do not see it */
export const drawnAbove = (plan: FromAbove, says: string): TemplateResult =>
  svg`<svg class="above" role="img" aria-label=${says} width=${ABOVE_PX} height=${ABOVE_PX} viewBox="0 0 ${ABOVE_PX} ${ABOVE_PX}">
    ${line('ray', plan.peg, plan.sun)}
    <circle class="sun" cx=${plan.sun.x} cy=${plan.sun.y} r=${SUN_RADIUS_PX}></circle>
    ${line('shadow', plan.peg, plan.shadowEnd)}
    ${line('panel', ...plan.panel)}
    ${line('look', plan.peg, plan.arrowTip)}
    <polygon class="tip" points=${tip(plan.peg, plan.arrowTip)}></polygon>
    <circle class="peg" cx=${plan.peg.x} cy=${plan.peg.y} r="5"></circle>
    ${plan.words.map(word)}
  </svg>` as TemplateResult;

/** @param says the drawing, for those who do not see it */
export const drawnSide = (plan: FromSide, says: string): TemplateResult =>
  svg`<svg class="side" role="img" aria-label=${says} width=${SIDE_PX.width} height=${SIDE_PX.height} viewBox="0 0 ${SIDE_PX.width} ${SIDE_PX.height}">
    ${line('ground', ...plan.ground)}
    ${line('up', { x: plan.back.x, y: plan.foot.y }, plan.back)}
    ${line('panel', plan.foot, plan.back)}
    ${plan.words.map(word)}
  </svg>` as TemplateResult;

export const pointingDrawingStyles = css`
  svg { display: block; max-width: 100%; height: auto; overflow: visible; }
  svg text { font-size: ${WORD_PX}px; font-weight: var(--text-weight); fill: var(--ink); }
  .ground { stroke: var(--ink); stroke-width: 1; }
  .ray { stroke: var(--ink); stroke-width: 1.5; stroke-dasharray: 2 5; }
  .sun { fill: var(--paper); stroke: var(--ink); stroke-width: 1.5; }
  .shadow { stroke: var(--fill); stroke-width: 7; }
  .panel { stroke: var(--ink); stroke-width: 4; }
  .look { stroke: var(--ink); stroke-width: 1.5; }
  .tip, .peg { fill: var(--ink); }
  .up { stroke: var(--ink); stroke-width: 1.5; stroke-dasharray: 2 4; }
`;
