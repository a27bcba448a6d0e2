/** Draws a laid-out wiring as SVG in the ink of the present light; no size or place is decided here. */
import { css, svg, type TemplateResult } from 'lit';
import { LABEL_PX, type Label } from './wiring-label.ts';
import type { PanelBox, Point, WiringLayout } from './wiring-layout.ts';

/** @param words what the drawing says, for those who do not see it */
export const wiringDrawing = (layout: WiringLayout, words: string): TemplateResult =>
  svg`<svg class="wiring" role="img" aria-label=${words} width=${layout.width} height=${layout.height}
    viewBox="0 0 ${layout.width} ${layout.height}">
    ${layout.panels.map(panel)}
    ${layout.leads.map(({ sign, points }) => svg`<polyline class="lead ${sign === '-' ? 'minus' : ''}" points=${pointsOf(points)}></polyline>`)}
    ${layout.joints.map(([x, y]) => svg`<circle class="joint" cx=${x} cy=${y} r="5"></circle>`)}
    ${layout.fuses.map(
      ({ x, y, width, height }) => svg`<rect class="fuse" x=${x} y=${y} width=${width} height=${height}></rect>
      <line class="wire" x1=${x} y1=${y + height / 2} x2=${x + width} y2=${y + height / 2}></line>`,
    )}
    <rect class="port" x=${layout.port.x} y=${layout.port.y} width=${layout.port.width} height=${layout.port.height}></rect>
    ${layout.labels.map(drawnLabel)}
  </svg>` as TemplateResult;

/** Words of any drawing of this view. */
export const drawnLabel = ({ text, x, y, anchor, strong, onPort }: Label) =>
  svg`<text class="${strong ? 'strong' : ''} ${onPort ? 'on-port' : ''}" x=${x} y=${y} text-anchor=${anchor} dominant-baseline="central">${text}</text>`;

const pointsOf = (points: readonly Point[]): string => points.map(point => point.join()).join(' ');

/** A frame with cells by hairlines; a dashed one without cells where it stands for several. */
function panel({ x, y, width, height, single }: PanelBox) {
  const columns = width < 90 ? 2 : 4;
  const upright = [...Array(columns - 1).keys()].map(i => x + ((i + 1) * width) / columns);
  return svg`${
    single
      ? svg`${upright.map(at => svg`<line class="cell" x1=${at} x2=${at} y1=${y} y2=${y + height}></line>`)}
          <line class="cell" x1=${x} x2=${x + width} y1=${y + height / 2} y2=${y + height / 2}></line>`
      : ''
  }<rect class="panel ${single ? '' : 'several'}" x=${x} y=${y} width=${width} height=${height}></rect>`;
}

export const wiringStyles = css`
  svg { display: block; max-width: 100%; overflow: visible; }
  svg text { font-size: ${LABEL_PX}px; font-weight: var(--text-weight); fill: var(--ink); }
  svg text.strong { font-weight: var(--strong-weight); }
  svg text.on-port { fill: var(--on-port); }
  .panel { fill: none; stroke: var(--ink); stroke-width: 1.5; }
  .panel.several { stroke-dasharray: 5 4; }
  .cell { stroke: var(--hair); stroke-width: 1; }
  .lead { fill: none; stroke: var(--ink); stroke-width: 2.5; stroke-linejoin: miter; }
  .lead.minus { stroke-width: 1.5; }
  .joint { fill: var(--ink); }
  .port { fill: var(--port); stroke: var(--ink); stroke-width: 2.5; }
  .fuse { fill: var(--paper); stroke: var(--ink); stroke-width: 1.5; }
  .wire { stroke: var(--ink); stroke-width: 1.5; }
`;
