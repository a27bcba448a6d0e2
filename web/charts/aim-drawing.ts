/** Draws Aim's laid-out minutes as SVG in the ink of the present light; no place is decided here. */
import { css, svg, type TemplateResult } from 'lit';
import type { AimLayout, Point } from './aim-layout.ts';

/** @param words what the drawing says, for those who do not see it. @param from how far back it begins. @param now its end */
export const aimDrawing = (layout: AimLayout, words: string, from: string, now: string): TemplateResult => {
  const { width, height, baseY, topY, letterY } = layout;
  return svg`<svg role="img" aria-label=${words} width=${width} height=${height} viewBox="0 0 ${width} ${height}">
    ${layout.lines.map(line => svg`<polygon class="ground" points=${grounded(line, baseY)}></polygon>`)}
    ${layout.gaps.map(gap => svg`<rect class="gap" x=${gap.x} y=${topY} width=${gap.width} height=${baseY - topY}></rect>`)}
    ${layout.lines.map(line => svg`<polyline class="watts" points=${joined(line)}></polyline>`)}
    <line class="axis" x1="0" y1=${baseY} x2=${width} y2=${baseY}></line>
    ${layout.marks.map(
      ({ letter, x, textX }) => svg`<line class="mark" x1=${x} y1=${letterY + 5} x2=${x} y2=${baseY}></line>
      <text class="letter" x=${textX} y=${letterY} text-anchor="middle">${letter}</text>`,
    )}
    <text x="0" y=${baseY + 15}>${from}</text>
    <text x=${width} y=${baseY + 15} text-anchor="end">${now}</text>
  </svg>` as TemplateResult;
};

const joined = (points: readonly Point[]): string =>
  points.map(([x, y]) => `${x.toFixed(1)},${y.toFixed(1)}`).join(' ');
const grounded = (line: readonly Point[], baseY: number): string =>
  joined([[line[0]![0], baseY], ...line, [line.at(-1)![0], baseY]]);

export const aimDrawingStyles = css`
  svg { display: block; max-width: 100%; overflow: visible; }
  svg text { font-size: 14px; font-weight: var(--text-weight); fill: var(--soft); }
  svg text.letter { font-size: 15px; font-weight: var(--strong-weight); fill: var(--ink); }
  .ground { fill: var(--ink); opacity: 0.14; }
  .watts { fill: none; stroke: var(--ink); stroke-width: var(--level-width); stroke-linejoin: round; }
  .axis { stroke: var(--soft); stroke-width: 2px; }
  .mark { stroke: var(--ink); stroke-width: 2px; stroke-dasharray: 2 4; }
  .gap { fill: none; stroke: var(--soft); stroke-width: 1px; stroke-dasharray: 3 3; }
`;
